//! Numbers with units: cents and hertz.

use serde::{Deserialize, Serialize};

/// A musical interval in cents: 1200 to the octave.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Cents(pub f64);

/// A frequency in hertz.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Hertz(pub f64);

impl Cents {
    /// The frequency ratio of this interval: `2^(cents / 1200)`.
    #[must_use]
    pub fn ratio(self) -> f64 {
        (self.0 / 1200.0).exp2()
    }

    /// The interval of a frequency ratio; `NaN` for a ratio that is not positive.
    #[must_use]
    pub fn from_ratio(ratio: f64) -> Self {
        Self(1200.0 * ratio.log2())
    }
}

impl Hertz {
    /// How far `self` lies above `reference`, in cents (negative when below).
    #[must_use]
    pub fn cents_above(self, reference: Self) -> Cents {
        Cents::from_ratio(self.0 / reference.0)
    }

    /// This frequency moved by an interval.
    #[must_use]
    pub fn shifted(self, by: Cents) -> Self {
        Self(self.0 * by.ratio())
    }
}
