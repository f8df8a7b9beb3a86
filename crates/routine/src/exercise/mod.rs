//! The exercise: one musical idea and the rules that carry it through the tube.

mod check;
mod figure;
mod harmony;
mod manner;
mod pitch;
mod rhythm;
mod travel;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use check::{MAX_FIGURE, Problem};
pub use figure::{Carry, Clip, Figure, Leap, LeapRoot, Roof, RoofWord, Turn};
pub use harmony::{Harmony, HarmonyName, Ladder};
pub use manner::{Breath, BreathWord, Loudness, Marks, Rest, RestWord, Slur, SlurWord, Tempo};
pub use pitch::{HOME_KEY, TubePitch};
pub use rhythm::{Meter, NoteValue, Rhythm, RhythmError};
pub use travel::{Move, MoveWord, Order, Travel};

/// The version of the exercise format that this crate writes.
pub const FORMAT_VERSION: u32 = 1;

/// The eight families of the library.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Long notes.
    LongNotes,
    /// Slurs along the natural series of one length.
    NaturalSlurs,
    /// Arpeggios under a roof.
    Arpeggios,
    /// Wide intervals.
    Intervals,
    /// Scales and scale figures.
    Scales,
    /// Tongue and articulation.
    Articulation,
    /// Range and pedals.
    Range,
    /// Cool-down.
    CoolDown,
}

impl Family {
    /// The heading for people.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::LongNotes => "Long notes",
            Self::NaturalSlurs => "Natural-series slurs",
            Self::Arpeggios => "Arpeggios under a roof",
            Self::Intervals => "Wide intervals",
            Self::Scales => "Scales",
            Self::Articulation => "Articulation",
            Self::Range => "Range and pedals",
            Self::CoolDown => "Cool-down",
        }
    }

    /// All of them, in the order of a session.
    pub const ALL: [Self; 8] = [
        Self::LongNotes,
        Self::NaturalSlurs,
        Self::Arpeggios,
        Self::Intervals,
        Self::Scales,
        Self::Articulation,
        Self::Range,
        Self::CoolDown,
    ];

    /// The name as it stands in a file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::LongNotes => "long-notes",
            Self::NaturalSlurs => "natural-slurs",
            Self::Arpeggios => "arpeggios",
            Self::Intervals => "intervals",
            Self::Scales => "scales",
            Self::Articulation => "articulation",
            Self::Range => "range",
            Self::CoolDown => "cool-down",
        }
    }
}

/// One exercise, as a teacher states it. All pitches are named against the tube ([`TubePitch`]).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// Version of the format: 1.
    pub version: u32,
    /// Identifier: lower-case words with hyphens.
    pub id: String,
    /// Title on the page.
    pub title: String,
    /// Which family it belongs to.
    pub family: Family,
    /// What it is for, in one sentence.
    pub purpose: String,
    /// Cautions that apply.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// The teacher's own words, printed with the lines.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// The chord or scale; not needed for intervals and partials.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub harmony: Option<Harmony>,
    /// The figure.
    pub figure: Figure,
    /// Where the lines start.
    pub travel: Travel,
    /// The highest note a line may touch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roof: Option<Roof>,
    /// The lowest note a line may touch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<TubePitch>,
    /// How the figure is carried on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carry: Option<Carry>,
    /// What happens at the far end.
    #[serde(default)]
    pub turn: Turn,
    /// A leap before the figure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leap: Option<Leap>,
    /// What is left out beyond roof and floor; without it, notes of carried figures and lines of others.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clip: Option<Clip>,
    /// Note values that repeat along the line.
    pub rhythm: Rhythm,
    /// Value of the last note; without it, the rhythm's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<NoteValue>,
    /// Metre; 4/4 without it.
    #[serde(default)]
    pub meter: Meter,
    /// Quarter notes a minute.
    pub tempo: Tempo,
    /// Slurs.
    #[serde(default)]
    pub slur: Slur,
    /// Articulation.
    #[serde(default)]
    pub articulation: Marks,
    /// Dynamics; mf without it.
    #[serde(default)]
    pub dynamic: Loudness,
    /// How many times each line is played, 1 to 8.
    #[serde(default = "one")]
    pub repeats: u8,
    /// Breath marks.
    #[serde(default)]
    pub breath: Breath,
    /// Rest after each line; as long as the playing without it.
    #[serde(default)]
    pub rest: Rest,
}

const fn one() -> u8 {
    1
}

impl Exercise {
    /// The rungs that the figure climbs: the harmony's or, without one, every semitone.
    #[must_use]
    pub fn ladder(&self) -> Ladder {
        self.harmony
            .clone()
            .unwrap_or(Harmony::Named(HarmonyName::Chromatic))
            .ladder()
    }

    /// What is clipped beyond roof and floor.
    #[must_use]
    pub fn clip_rule(&self) -> Clip {
        self.clip.unwrap_or(if self.carry.is_some() {
            Clip::Notes
        } else {
            Clip::Line
        })
    }
}
