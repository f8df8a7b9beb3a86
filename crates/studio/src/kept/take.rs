//! A take: one recording, where its sound is and what is known of it; and notes at places in it.

use serde::{Deserialize, Serialize};

use super::{check_id, check_text, check_time};
use crate::{Error, Result};

/// A stretch of a recording that was not heard and is silence in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Gap {
    /// Where it begins, seconds from the start.
    pub at_s: f64,
    /// How long it is, seconds.
    pub seconds: f64,
    /// `source`: the sound card or browser dropped it; `skipped`: it was lost on the way.
    pub why: String,
}

/// What a file was that was sent in and is kept as a take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Origin {
    /// Container, such as `wave`.
    pub container: String,
    /// Coding of the samples, such as `mp3`.
    pub coding: String,
    /// Samples a second in the file.
    pub sample_rate: u32,
    /// Channels in the file.
    pub channels: u32,
    /// Weight of each channel in the one that is kept: 0 left out, negative turned over.
    pub weights: Vec<f64>,
}

/// What is known of a take before its sound is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NewTake {
    /// Whose take; `None` for nobody's.
    pub player: Option<String>,
    /// Exercise id; `None` for free playing.
    pub exercise: Option<String>,
    /// Instrument id.
    pub instrument: String,
    /// Title, at most 200 characters.
    pub title: String,
    /// When it began, Unix milliseconds.
    pub started_ms: i64,
    /// The part that was to be played, as JSON of `routine::Part`.
    pub part: Option<serde_json::Value>,
    /// The file it was sent in as; `None` for what was recorded here.
    #[serde(default)]
    pub origin: Option<Origin>,
}

impl NewTake {
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub(crate) fn check(&self) -> Result<()> {
        check_id("instrument", &self.instrument)?;
        for (what, id) in [("player", &self.player), ("exercise", &self.exercise)] {
            if let Some(id) = id {
                check_id(what, id)?;
            }
        }
        check_text("title", &self.title, 200)?;
        check_time("started_ms", self.started_ms)
    }
}

/// A take as kept; the report and the part are fetched by themselves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Take {
    /// Identifier.
    pub id: String,
    /// Whose take.
    pub player: Option<String>,
    /// Exercise id; `None` for free playing.
    pub exercise: Option<String>,
    /// Instrument id.
    pub instrument: String,
    /// Title.
    pub title: String,
    /// When it began, Unix milliseconds.
    pub started_ms: i64,
    /// How long it is.
    pub seconds: f64,
    /// Samples a second.
    pub sample_rate: u32,
    /// Channels.
    pub channels: u32,
    /// SHA-256 of the FLAC file, its name in the store.
    pub sha256: String,
    /// Size of the FLAC file.
    pub bytes: u64,
    /// Stretches that were not heard.
    pub gaps: Vec<Gap>,
    /// The file it was sent in as; null for what was recorded here.
    #[serde(default)]
    pub origin: Option<Origin>,
    /// True when it was found again after the program had been killed.
    pub recovered: bool,
    /// True when a report is there.
    pub heard: bool,
    /// A few figures of the report; null before it is heard.
    pub summary: Option<serde_json::Value>,
    /// When it was kept, Unix milliseconds.
    pub created_ms: i64,
    /// When it was last changed, Unix milliseconds.
    pub changed_ms: i64,
}

/// Which takes to list.
#[derive(Clone, Debug, Default)]
pub struct TakeFilter {
    /// This player's alone.
    pub player: Option<String>,
    /// Of this exercise alone.
    pub exercise: Option<String>,
    /// On this instrument alone.
    pub instrument: Option<String>,
    /// Those that were removed and can be restored, instead of those that are there.
    pub deleted: bool,
    /// How many at most, 1 to 500; 50 when absent.
    pub limit: Option<u32>,
    /// Go on after a page: its `next`.
    pub before: Option<String>,
}

/// A page of takes, the latest first.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TakePage {
    /// The takes.
    pub takes: Vec<Take>,
    /// What to ask the next page with; null on the last.
    pub next: Option<String>,
    /// How many there are in all that fit the filter.
    pub total: u64,
}

/// What someone writes at a place in a take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TakeNoteInput {
    /// Where, seconds from the start.
    #[cfg_attr(feature = "schema", schema(minimum = 0, maximum = 1_000_000))]
    pub at_s: f64,
    /// Who writes.
    #[serde(default)]
    pub author: String,
    /// The words.
    pub text: String,
}

impl TakeNoteInput {
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub(crate) fn check(&self) -> Result<()> {
        if !(0.0..=1e6).contains(&self.at_s) {
            return Err(Error::invalid("at_s", "must be seconds within the take"));
        }
        check_text("author", &self.author, 200)?;
        check_text("text", &self.text, 10_000)
    }
}

/// A note at a place in a take, as kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TakeNote {
    /// Identifier.
    pub id: String,
    /// Which take.
    pub take: String,
    /// What was written.
    #[serde(flatten)]
    pub about: TakeNoteInput,
    /// When it was made, Unix milliseconds.
    pub created_ms: i64,
    /// When it was last changed, Unix milliseconds.
    pub changed_ms: i64,
}
