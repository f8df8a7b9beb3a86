//! What was heard: the pitch track, the notes and the slurs between them.

use serde::{Deserialize, Serialize};

use crate::measured::Measure;

/// The pitch and level of the sound over time, at even steps.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Track {
    /// Seconds from one frame to the next.
    pub step_s: f64,
    /// The frames; frame `i` is centred on `i * step_s` of the take.
    pub frames: Vec<Frame>,
}

/// One moment of the track.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    /// Fundamental in hertz; 0 where nothing with a pitch sounds.
    pub hz: f64,
    /// Standard uncertainty of `hz`, in cents.
    pub cents_uncertainty: f32,
    /// How much of the sound the harmonics of `hz` explain: 0 none, 1 all.
    pub periodicity: f32,
    /// RMS level in dB against full scale (not weighted).
    pub level_db: f32,
}

impl Frame {
    /// True where a pitch sounds.
    #[must_use]
    pub fn sounds(&self) -> bool {
        self.hz > 0.0
    }
}

impl Track {
    /// The frame nearest to a time, if it lies in the take.
    #[must_use]
    pub fn at(&self, seconds: f64) -> Option<&Frame> {
        (seconds >= 0.0 && self.step_s > 0.0)
            .then(|| self.frames.get((seconds / self.step_s).round() as usize))
            .flatten()
    }

    /// The frames whose centres lie in `from_s..to_s`, and the time of the first.
    #[must_use]
    pub fn between(&self, from_s: f64, to_s: f64) -> (f64, &[Frame]) {
        if self.step_s <= 0.0 {
            return (0.0, &[]);
        }
        let place = |s: f64| ((s / self.step_s).ceil().max(0.0) as usize).min(self.frames.len());
        let (from, to) = (place(from_s), place(to_s));
        (
            from as f64 * self.step_s,
            self.frames.get(from..to.max(from)).unwrap_or(&[]),
        )
    }
}

/// How a heard note stands against what was to be played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Match {
    /// The note that was to be played.
    AsAsked,
    /// In its place, another partial of the same length of tube.
    OtherPartial {
        /// The partial that sounded.
        partial: u8,
    },
    /// In its place, a note that the same length does not give.
    Wrong,
    /// Nothing was asked for here: an extra note, or there is no score.
    Extra,
}

/// A note of the expected lines, by place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Place {
    /// Index of the line in `Expected::lines`.
    pub line: usize,
    /// Index of the note in `ExpectedLine::notes`.
    pub note: usize,
    /// 0 the first time through the line, 1 when it was played again, and so on.
    pub pass: usize,
}

/// One note that was heard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeardNote {
    /// Where it stands in what was to be played; `None` for an extra note or without a score.
    pub place: Option<Place>,
    /// How it stands against what was to be played.
    pub matched: Match,
    /// How sure the decoder is of `place` and `matched`: 0 to 1 (the odds against the likeliest other thing in its place).
    pub confidence: f64,
    /// When it begins to sound; the middle of the change when slurred into.
    pub onset_s: f64,
    /// When it stops; the middle of the change when slurred out of.
    pub offset_s: f64,
    /// The steady part: what `hz` was measured on.
    pub steady_s: (f64, f64),
    /// Robust centre of the pitch over the steady part, hertz.
    pub hz: f64,
    /// The same against the target, cents (`WhyNot::NoTarget` without one), with the
    /// uncertainty of `hz` in cents.
    pub cents: Measure,
    /// Standard uncertainty of `hz` in cents, target or not.
    pub cents_uncertainty: f64,
    /// Mean level over the steady part, dB against full scale (not weighted).
    pub level_db: f64,
    /// True when it follows the note before without a stop.
    pub slurred: bool,
}

/// A partial that held for a moment on the way from one note to the next.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caught {
    /// Its number on the length it was caught on; 0 when it is no partial of it.
    pub partial: u8,
    /// Its frequency.
    pub hz: f64,
    /// When it began to hold.
    pub from_s: f64,
    /// How long it held, milliseconds.
    pub held_ms: Measure,
    /// How sure: 0 to 1.
    pub confidence: f64,
}

/// The change from one note to the next without a stop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeardSlur {
    /// Index in `Heard::notes` of the note it leaves.
    pub from: usize,
    /// Index in `Heard::notes` of the note it enters.
    pub to: usize,
    /// When the pitch leaves the band of the old note.
    pub left_s: f64,
    /// When the pitch enters the band of the new note.
    pub entered_s: f64,
    /// The time between, milliseconds.
    pub slur_ms: Measure,
    /// Partials that held between for 15 ms or more, in order.
    pub caught: Vec<Caught>,
    /// What speaks for the likeliest partial between having held, over a plain glide, in nats;
    /// `None` when there is no partial between.
    pub evidence: Option<f64>,
    /// How far the level falls below both notes, dB (0 or more).
    pub dip_db: Measure,
    /// How far the pitch goes past the new note before it settles, cents (0 or more).
    pub overshoot_cents: Measure,
}

/// All that was heard in a take.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// Length of the take in seconds.
    pub seconds: f64,
    /// The pitch track.
    pub track: Track,
    /// The notes in time order.
    pub notes: Vec<HeardNote>,
    /// The slurs in time order.
    pub slurs: Vec<HeardSlur>,
    /// Level of the noise between the notes, dB against full scale.
    pub noise_db: f64,
    /// Reverberation time of the room as heard in the take's own decays, seconds.
    pub reverb_s: Measure,
    /// True when each bin's echo was held, as in a hall: what the pitch does within a note is then the room's as
    /// much as the player's.
    #[serde(default)]
    pub echo_held: bool,
    /// Share of notes found as asked among those that the lines begun ask for, or among those
    /// heard when these are more: 0 to 1; `None` without a score.
    pub agreement: Option<f64>,
}
