//! Key signatures by their place on the line of fifths.

use serde::{Deserialize, Serialize};

use crate::Interval;

/// A key signature: sharps positive, flats negative, -7 to 7.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct KeySignature(pub i8);

impl KeySignature {
    /// The signature moved by an interval, brought back to -6..=6 by respelling where needed.
    #[must_use]
    pub fn transposed(self, by: Interval) -> Self {
        // One semitone is seven fifths less twelve per enharmonic turn; steps settle the turn.
        let fifths = i32::from(self.0) + by.semitones * 7 - by.steps_excess() * 12;
        let mut fifths = fifths;
        while fifths > 6 {
            fifths -= 12;
        }
        while fifths < -6 {
            fifths += 12;
        }
        Self(fifths as i8)
    }
}

impl Interval {
    /// How many enharmonic turns `7 * semitones` overshoots the interval's place on the line of fifths.
    fn steps_excess(self) -> i32 {
        // Place on the line of fifths of (steps, semitones): 7*semitones - 12*steps fifths.
        self.steps
    }
}
