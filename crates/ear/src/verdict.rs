//! Whether a take is what it was taken for; if not, what it is instead.

use serde::{Deserialize, Serialize};

/// What the take is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum VerdictKind {
    /// The lines that were asked for.
    #[default]
    AsAsked,
    /// Nothing was asked for; notes were heard.
    Free,
    /// Nothing to hear.
    Silence,
    /// Sound, but nothing with a pitch.
    Noise,
    /// Speech or singing.
    Speech,
    /// Struck or plucked: a piano or the like.
    Struck,
    /// More than one player at once.
    Several,
    /// Another exercise than the one asked for.
    OtherExercise,
    /// The lines asked for, all moved by an interval: another transposition or instrument.
    Moved,
    /// The lines asked for, octaves away.
    OctaveOff,
    /// The lines asked for, all off by the ratio of two usual rates: the file lies about its rate.
    RateLie,
    /// Too few notes to tell.
    TooLittle,
}

/// A verdict with its grounds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// What the take is.
    pub kind: VerdictKind,
    /// True when the measures of notes and lines mean what they say.
    pub trusted: bool,
    /// The same in words, with what to do.
    pub words: String,
    /// The figures it rests on.
    pub grounds: Vec<Ground>,
}

/// One figure that a verdict rests on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ground {
    /// What was counted or measured.
    pub what: String,
    /// How much.
    pub value: f64,
    /// Its unit; empty for a share or a count.
    pub unit: String,
}
