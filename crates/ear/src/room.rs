//! The room, the noise in it and the microphone: how much of what was heard can be trusted.

use serde::{Deserialize, Serialize};

use crate::Measure;
use crate::level::Calibration;

/// What is known of the room and the microphone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Room {
    /// Noise where nobody plays, dB against full scale, A-weighted.
    pub noise_db: Measure,
    /// The same in dB(A) SPL, when calibrated.
    pub noise_dba: Measure,
    /// How far the playing stands above the noise, dB.
    pub above_noise_db: Measure,
    /// Reverberation time from the decays between notes, seconds.
    pub reverb_s: Measure,
    /// Whether slurs can be judged in this room.
    pub slurs: SlurTrust,
    /// The microphone and what stands behind it.
    pub microphone: Microphone,
    /// The level calibration used.
    pub calibration: Option<Calibration>,
    /// All of it in plain words, a sentence each.
    pub words: Vec<String>,
}

/// Whether slurs can be judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlurTrust {
    /// Dry enough: slur times and caught partials hold.
    Good,
    /// Caught partials may be missed; slur times are less sure.
    Fair,
    /// Too much echo: slurs are not judged.
    Poor,
    /// The take has no decays to tell by.
    #[default]
    Unknown,
}

/// The microphone check.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Microphone {
    /// Highest frequency that carries sound, hertz.
    pub top_hz: Measure,
    /// Lowest frequency that carries sound as it should, hertz.
    pub bottom_hz: Measure,
    /// How far the noise rises after a note stops, dB: an automatic gain turns itself up.
    pub pumping_db: Measure,
    /// True when noise is cut to digital silence between notes: a noise gate.
    pub gated: bool,
}
