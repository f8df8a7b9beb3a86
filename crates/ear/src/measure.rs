//! The measures of notes, lines and takes, one file each.

use serde::{Deserialize, Serialize};

/// What pitch is measured against.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Against {
    /// The pitches of the tuning.
    #[default]
    Tuning,
    /// Just intervals over the root of each line: what sounds pure over a drone.
    Drone,
    /// Where the tube itself puts the partial.
    Slot,
}

/// Levels of harmonics 1 to 12, dB against their sum; `None` where one is lost in the noise.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Envelope(pub Vec<Option<f64>>);
