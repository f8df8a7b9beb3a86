//! How the line is played: slurs, articulation, dynamics, tempo, breath and rest.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::part::{Articulation, Dynamic};

/// Which notes are slurred together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Slur {
    /// By a word.
    Word(SlurWord),
    /// Group sizes that repeat along the line: `[2, 1, 1]` is slur two, tongue two.
    Groups(Vec<u8>),
}

/// Slurs by word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SlurWord {
    /// Every note is tongued.
    None,
    /// One slur over the line (broken only by breaths).
    Line,
    /// One slur over each statement of the figure.
    Figure,
}

impl Default for Slur {
    fn default() -> Self {
        Self::Word(SlurWord::None)
    }
}

/// One thing for all notes, or a list that repeats along the line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Marks {
    /// The same for all notes.
    One(Articulation),
    /// A list that repeats.
    Cycle(Vec<Articulation>),
}

impl Default for Marks {
    fn default() -> Self {
        Self::One(Articulation::Plain)
    }
}

impl Marks {
    /// The articulation of the note with this index in the line.
    #[must_use]
    pub fn at(&self, index: usize) -> Articulation {
        match self {
            Self::One(mark) => *mark,
            Self::Cycle(list) if list.is_empty() => Articulation::Plain,
            Self::Cycle(list) => list.get(index % list.len()).copied().unwrap_or_default(),
        }
    }
}

/// The dynamic of a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Loudness {
    /// The same throughout.
    One(Dynamic),
    /// Marks at the start, at the top note and at the end.
    Shape {
        /// At the first note.
        start: Dynamic,
        /// At the highest note, when it is not the first.
        top: Dynamic,
        /// At the last note, when it is neither.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        end: Option<Dynamic>,
    },
    /// One for each line in turn.
    ByLine {
        /// For instance `["p", "mf"]`.
        lines: Vec<Dynamic>,
    },
}

impl Default for Loudness {
    fn default() -> Self {
        Self::One(Dynamic::Mf)
    }
}

/// Quarter notes a minute, 20 to 300.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Tempo {
    /// The same at every level.
    One(f64),
    /// From the calmest to the quickest level.
    Span([f64; 2]),
}

impl Tempo {
    /// The tempo at a share of the way from the calmest to the quickest level (0 to 1).
    #[must_use]
    pub fn at(self, share: f64) -> f64 {
        match self {
            Self::One(tempo) => tempo,
            Self::Span([slow, quick]) => (slow + (quick - slow) * share.clamp(0.0, 1.0)).round(),
        }
    }
}

/// Where breath marks stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Breath {
    /// By a word.
    Word(BreathWord),
    /// After so many notes.
    Notes(u8),
}

/// Breaths by word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BreathWord {
    /// Only where the level's longest breath would be passed.
    Auto,
    /// After the highest note of the line.
    Top,
    /// After each statement of the figure.
    Figure,
}

impl Default for Breath {
    fn default() -> Self {
        Self::Word(BreathWord::Auto)
    }
}

/// The rest after each line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Rest {
    /// By a word.
    Word(RestWord),
    /// So many beats.
    Beats {
        /// Beats of the metre.
        beats: u16,
    },
    /// So many times the playing, 0 to 10.
    Times {
        /// 1.0 is as long as the playing.
        times: f64,
    },
}

/// Rests by word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RestWord {
    /// As long as the playing.
    Equal,
    /// As long as the playing or, when that is more, one second for each unit of load.
    Load,
    /// None.
    None,
}

impl Default for Rest {
    fn default() -> Self {
        Self::Word(RestWord::Equal)
    }
}
