//! The text messages of the line, both ways, as JSON with a `type`.

use ear::{Caught, Measure};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::{Gap, Take};

use crate::server::problem::{Code, Problem};

/// What the page says.
#[derive(Debug, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub(super) enum FromPage {
    /// Begin a recording.
    Start(Start),
    /// Go on with one after a lost connection or a restart of the server.
    Resume {
        /// Which.
        take: String,
    },
    /// End it and keep it.
    Stop,
    /// End it and throw it away.
    Discard,
    /// Blocks before this one are lost for good.
    Skip {
        /// Number of the next block.
        to_seq: u32,
        /// Index of its first sample.
        to_sample: u64,
    },
    /// Are you there?
    Ping {
        /// Anything; comes back.
        #[serde(default)]
        t: Value,
    },
}

/// How a recording begins.
#[derive(Debug, Deserialize)]
pub(super) struct Start {
    /// Samples a second.
    pub(super) sample_rate: u32,
    /// `f32` or `i16`.
    pub(super) format: String,
    /// Instrument id.
    pub(super) instrument: String,
    /// Whose take.
    #[serde(default)]
    pub(super) player: Option<String>,
    /// Of which exercise.
    #[serde(default)]
    pub(super) exercise: Option<String>,
    /// An exercise as text (TOML), instead of one that is kept.
    #[serde(default)]
    pub(super) text: Option<String>,
    /// A level instead of the player's own.
    #[serde(default)]
    pub(super) level: Option<String>,
    /// Seed of the day, for orders that are drawn.
    #[serde(default)]
    pub(super) seed: u64,
    /// Title; the exercise's when absent.
    #[serde(default)]
    pub(super) title: Option<String>,
}

/// What the server says.
#[derive(Debug, Serialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub(super) enum ToPage<'a> {
    /// The recording is open; send from here.
    Ready {
        take: &'a str,
        next_seq: u32,
        next_sample: u64,
        part: Option<&'a Value>,
    },
    /// What has come and what is safe on the disk.
    Ack { next_seq: u32, durable_seq: u32 },
    /// Send again from here.
    Resend { from_seq: u32 },
    /// A stretch was not heard.
    Gap {
        #[serde(flatten)]
        gap: &'a Gap,
    },
    /// What is heard now.
    State(&'a State),
    /// A note that ended.
    Note(&'a NoteHeard),
    /// A slur that was played.
    Slur(&'a SlurHeard),
    /// The take is kept.
    Saved { take: &'a Take },
    /// The take has been heard: its report is there.
    Heard { take: &'a str },
    /// The recording is thrown away.
    Discarded,
    /// Here I am.
    Pong { t: Value },
    /// Something went wrong; the line closes when it is fatal.
    Error {
        code: Code,
        detail: &'a str,
        fatal: bool,
    },
}

/// What is heard now.
#[derive(Clone, Debug, Default, Serialize)]
pub(super) struct State {
    /// Seconds since the start, at the end of the last block.
    pub(super) at_s: f64,
    /// The page's clock of that block.
    pub(super) sent_ms: f64,
    /// RMS level of the last moments, dB against full scale.
    pub(super) level_db: f64,
    /// The same as dB(A) SPL; null when the level was never calibrated.
    pub(super) level_dba: Option<f64>,
    /// The moment that pitch and place tell of, seconds since the start: the ear hears a little
    /// further before it says what it heard. Null when too many streams are heard at once.
    pub(super) heard_s: Option<f64>,
    /// Pitch, hertz; null where none sounds, or when too many streams are heard at once.
    pub(super) f0_hz: Option<f64>,
    /// Share of the sound that the pitch explains, 0 to 1.
    pub(super) confidence: f64,
    /// Distance from what the note asks for, cents.
    pub(super) cents: Option<f64>,
    /// Line of the part that sounds, by id.
    pub(super) line: Option<String>,
    /// Note of the part that sounds, by id.
    pub(super) note: Option<String>,
}

/// A note that ended.
#[derive(Clone, Debug, Serialize)]
pub(super) struct NoteHeard {
    /// Its line in the part, by id; null when nothing asked for it.
    pub(super) line: Option<String>,
    /// Its id in the part.
    pub(super) note: Option<String>,
    /// When it began, seconds since the start.
    pub(super) from_s: f64,
    /// When it ended.
    pub(super) to_s: f64,
    /// Middle of its distance from what was asked, cents.
    pub(super) pitch_cents: Option<f64>,
    /// Mean level, dB against full scale.
    pub(super) level_db: Option<f64>,
}

/// A slur that was played, as the ear hears it in a file too.
#[derive(Clone, Debug, Serialize)]
pub(super) struct SlurHeard {
    /// The note that was left, by id; null when nothing asked for it.
    pub(super) from: Option<String>,
    /// The note that was entered.
    pub(super) to: Option<String>,
    /// When the pitch left the old note, seconds since the start.
    pub(super) left_s: f64,
    /// When it entered the new one.
    pub(super) entered_s: f64,
    /// The time between.
    pub(super) slur_ms: Measure,
    /// How far the level fell below both notes.
    pub(super) dip_db: Measure,
    /// How far the pitch went past the new note.
    pub(super) overshoot_cents: Measure,
    /// Partials that held on the way.
    pub(super) caught: Vec<Caught>,
}

impl ToPage<'_> {
    /// As text; a message that cannot be written is a fault of the program and becomes an empty one.
    pub(super) fn text(&self) -> String {
        serde_json::to_string(self).unwrap_or_else(|error| {
            crate::server::note_fault(&error);
            String::from("{}")
        })
    }
}

/// A problem as a message.
pub(super) fn error(problem: &Problem, fatal: bool) -> String {
    ToPage::Error {
        code: problem.code(),
        detail: problem.detail(),
        fatal,
    }
    .text()
}
