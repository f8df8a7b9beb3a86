//! The measures of notes, lines and takes, one file each, and the table that defines them.

pub mod attack;
pub mod evenness;
mod fall;
pub mod level;
pub mod lines;
pub mod pitch;
pub mod release;
pub mod same_roof;
pub mod stats;
pub mod table;
pub mod tone;
pub mod vibrato;
pub mod view;
pub mod wander;

use serde::{Deserialize, Serialize};

pub use view::{Moment, Take, View};

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

/// Levels of harmonics 1 to 12, dB against their mean; `None` where one is lost in the noise.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Envelope(pub Vec<Option<f64>>);
