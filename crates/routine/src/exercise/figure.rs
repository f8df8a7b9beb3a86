//! The figure, and how it is carried on, turned and clipped.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::TubePitch;

/// The musical idea in its smallest form. One of the three.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Figure {
    /// Degrees of the harmony, counted from the note that the line starts on: `[1, 3, 5, 8]`.
    /// Negative numbers count down: -4 is the fourth below.
    Degrees(Vec<i32>),
    /// Semitones from the note that the line starts on: `[0, 7, 0, 12]`.
    Intervals(Vec<i32>),
    /// Partials of the tube, played on one length: `[4, 5, 6, 5, 4]`.
    Partials(Vec<u8>),
}

/// How a figure is carried on toward the roof or the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Carry {
    /// Again an octave higher, until the roof.
    Octaves,
    /// Again from the next note of the harmony up, until the roof.
    Steps,
    /// Again an octave lower, until the floor.
    OctavesDown,
    /// Again from the next note of the harmony down, until the floor.
    StepsDown,
}

impl Carry {
    /// True when the figure is carried upward.
    #[must_use]
    pub const fn is_up(self) -> bool {
        matches!(self, Self::Octaves | Self::Steps)
    }
}

/// What happens at the far end of the line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    /// The line ends there.
    #[default]
    Stay,
    /// The line goes back the way it came.
    Back,
}

/// An interval before the figure: the line starts, leaps, and the figure begins where it lands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leap {
    /// Semitones, down when negative; not 0.
    pub semitones: i32,
    /// The note that the harmony is built on.
    #[serde(default)]
    pub root: LeapRoot,
}

/// The note that the harmony is built on after a leap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LeapRoot {
    /// The note that the line starts on; the leap must land on a note of the harmony.
    #[default]
    Start,
    /// The note where the leap lands.
    Landing,
}

/// The highest note that a line may touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Roof {
    /// Fixed for all lines.
    At(TubePitch),
    /// As high as the player goes.
    Word(RoofWord),
    /// Moving: so many semitones above the line's first note.
    Above {
        /// Semitones.
        above: u8,
    },
}

/// A roof by word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RoofWord {
    /// As high as the player's range and level allow.
    Player,
}

/// What is left out when a line passes the roof or the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Clip {
    /// The notes outside; the line stays.
    Notes,
    /// The whole line.
    Line,
}
