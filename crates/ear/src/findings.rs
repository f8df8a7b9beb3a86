//! What a teacher would point at: ranked, each once, with place, figure and evidence.

use serde::{Deserialize, Serialize};

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum FindingKind {
    /// The take as a whole lies off the pitch standard.
    TakeOffPitch,
    /// A note, or a partial wherever it occurs, is flat.
    Flat,
    /// A note, or a partial wherever it occurs, is sharp.
    Sharp,
    /// A note does not hold its pitch.
    Wander,
    /// A note starts off its pitch.
    Scoop,
    /// A note takes long to settle.
    SlowAttack,
    /// Another partial sounds before the note.
    Chipped,
    /// A partial is caught in a slur.
    Caught,
    /// A slur takes long.
    SlowSlur,
    /// The sound dips in a slur.
    Dip,
    /// The pitch goes past the new note.
    Overshoot,
    /// The pitch moves when the note ends.
    Sag,
    /// The level is uneven along a line.
    UnevenLevel,
    /// The sound colour is uneven along a line.
    UnevenSound,
    /// The top note sounds different from line to line.
    RoofChanges,
    /// Another note than asked for.
    WrongNote,
    /// A note is missing.
    MissingNote,
    /// Louder than is good for the ears.
    Loud,
}

/// One thing found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// What.
    pub kind: FindingKind,
    /// In plain words: place, figure and interval.
    pub words: String,
    /// Id of the line, when it is about one line.
    pub line: Option<String>,
    /// Ids of the notes it is about.
    pub notes: Vec<String>,
    /// The figure.
    pub value: f64,
    /// Its standard uncertainty, same unit.
    pub uncertainty: f64,
    /// Unit of both.
    pub unit: String,
    /// The limit that the figure goes beyond, same unit.
    pub limit: f64,
    /// How much it matters: the list is sorted by it, highest first.
    pub weight: f64,
    /// Where to listen.
    pub evidence: Vec<Evidence>,
}

/// Where to listen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// Id of the note; empty for a stretch without one.
    pub note: String,
    /// From, seconds.
    pub from_s: f64,
    /// To, seconds.
    pub to_s: f64,
    /// Samples from-to of the take at the working rate.
    pub samples: (u64, u64),
}
