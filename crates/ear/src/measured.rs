//! A number with its uncertainty, or the reason why there is none.

use serde::{Deserialize, Serialize};

/// Why a measure could not be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, thiserror::Error)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum WhyNot {
    /// The note is too short for it.
    #[error("the note is too short")]
    TooShort,
    /// The sound is too near the noise.
    #[error("the sound is too close to the noise")]
    TooNoisy,
    /// The room's echo covers it.
    #[error("the echo of the room covers it")]
    TooEchoing,
    /// The recording is clipped there.
    #[error("the recording is overloaded there")]
    Clipped,
    /// The note does not settle on a pitch.
    #[error("the note does not settle")]
    Unsettled,
    /// Nothing was asked for that it could be compared with.
    #[error("there is nothing to compare it with")]
    NoTarget,
    /// It lies outside the recording or touches its end.
    #[error("the recording is cut there")]
    Cut,
    /// There are too few of them.
    #[error("there are too few notes")]
    TooFew,
    /// There is none of it in this note.
    #[error("there is none")]
    Absent,
    /// The note is slurred into or out of.
    #[error("the note is slurred")]
    Slurred,
    /// It needs a level calibration.
    #[error("the level is not calibrated")]
    Uncalibrated,
}

/// A value with its standard uncertainty (one sigma, same unit), or why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Measure {
    /// It was measured.
    Known {
        /// The value.
        value: f64,
        /// Standard uncertainty, same unit.
        uncertainty: f64,
    },
    /// It was not.
    Unknown {
        /// The reason.
        why: WhyNot,
    },
}

impl Measure {
    /// A value with its standard uncertainty.
    #[must_use]
    pub const fn known(value: f64, uncertainty: f64) -> Self {
        Self::Known { value, uncertainty }
    }

    /// No value, for this reason.
    #[must_use]
    pub const fn unknown(why: WhyNot) -> Self {
        Self::Unknown { why }
    }

    /// The value, if there is one.
    #[must_use]
    pub const fn value(self) -> Option<f64> {
        match self {
            Self::Known { value, .. } => Some(value),
            Self::Unknown { .. } => None,
        }
    }

    /// The standard uncertainty, if there is a value.
    #[must_use]
    pub const fn uncertainty(self) -> Option<f64> {
        match self {
            Self::Known { uncertainty, .. } => Some(uncertainty),
            Self::Unknown { .. } => None,
        }
    }
}

impl Default for Measure {
    /// Nothing measured yet: too few.
    fn default() -> Self {
        Self::unknown(WhyNot::TooFew)
    }
}
