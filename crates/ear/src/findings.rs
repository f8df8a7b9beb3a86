//! What a teacher would point at: ranked, each once, with place, figure and evidence.

mod cautions;
mod gather;
mod limits;
mod line_findings;
mod note_findings;
mod slur_findings;
mod words;

use serde::{Deserialize, Serialize};

use crate::report::Report;

pub use cautions::cautions;
pub use limits::{LIMITS, Limit};

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

/// Most findings that are listed; the rest stand in the measures.
pub const MOST: usize = 24;

/// Finds what stands out in a report, most important first. Empty when the verdict says that the
/// measures don't mean what they say.
#[must_use]
pub fn find(report: &Report) -> Vec<Finding> {
    if !report.verdict.trusted {
        return Vec::new();
    }
    let mut found = note_findings::find(report);
    found.extend(slur_findings::find(report));
    found.extend(line_findings::find(report));
    found.retain(|f| f.value.is_finite() && f.uncertainty.is_finite());
    found.sort_by(|a, b| {
        b.weight
            .total_cmp(&a.weight)
            .then_with(|| a.kind.cmp(&b.kind))
    });
    found.truncate(MOST);
    found
}
