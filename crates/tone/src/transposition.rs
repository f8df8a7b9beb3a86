//! From the written to the sounding pitch and back.

use serde::{Deserialize, Serialize};

use crate::{Interval, KeySignature, Sounding, Written};

/// How a part transposes: the interval from the written to the sounding pitch.
///
/// For a B-flat trumpet this is a major second down, `Interval::new(-1, -2)`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Transposition(pub Interval);

impl Transposition {
    /// Concert pitch: written and sounding are the same.
    pub const CONCERT: Self = Self(Interval::new(0, 0));

    /// What sounds when this is written.
    #[must_use]
    pub fn sounding(self, written: Written) -> Sounding {
        Sounding(written.0 + self.0)
    }

    /// What must be written so that this sounds; respelled when it would need a double accidental.
    #[must_use]
    pub fn written(self, sounding: Sounding) -> Written {
        let exact = sounding.0 + -self.0;
        Written(if exact.alter.abs() > 1 {
            crate::Pitch::from_midi(exact.midi())
        } else {
            exact
        })
    }

    /// The key signature of the part when the music sounds in `sounding`.
    #[must_use]
    pub fn written_key(self, sounding: KeySignature) -> KeySignature {
        KeySignature::transposed(sounding, -self.0)
    }
}
