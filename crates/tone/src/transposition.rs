//! From the written to the sounding pitch and back.

use serde::{Deserialize, Serialize};

use crate::{Interval, KeySignature, Pitch, Sounding, Written};

/// How a part transposes: the interval from the written to the sounding pitch.
///
/// For a B-flat trumpet this is a major second down, `Interval::new(-1, -2)`.
///
/// ```
/// use tone::{Interval, KeySignature, Transposition};
///
/// let b_flat = Transposition(Interval::new(-1, -2));
/// assert_eq!(b_flat.sounding("C5".parse()?).to_string(), "Bb4");
/// assert_eq!(b_flat.written("Eb4".parse()?).to_string(), "F4");
/// assert_eq!(b_flat.written_key(KeySignature(-2)), KeySignature(0));
/// # Ok::<(), tone::ParsePitchError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Transposition(pub Interval);

impl Transposition {
    /// Concert pitch: written and sounding are the same.
    pub const CONCERT: Self = Self(Interval::UNISON);

    /// What sounds when this is written; respelled when it would need a double accidental.
    #[must_use]
    pub fn sounding(self, written: Written) -> Sounding {
        Sounding(plain(written.0 + self.0))
    }

    /// What must be written so that this sounds; respelled when it would need a double accidental.
    #[must_use]
    pub fn written(self, sounding: Sounding) -> Written {
        Written(plain(sounding.0 - self.0))
    }

    /// What must be written so that this sounds, spelled for the key signature of the part.
    #[must_use]
    pub fn written_in(self, sounding: Sounding, part: KeySignature) -> Written {
        Written(Pitch::spelled((sounding.0 - self.0).midi(), part))
    }

    /// What sounds when this is written, spelled for the sounding key signature.
    #[must_use]
    pub fn sounding_in(self, written: Written, concert: KeySignature) -> Sounding {
        Sounding(Pitch::spelled((written.0 + self.0).midi(), concert))
    }

    /// The key signature of the part when the music sounds in `sounding`.
    #[must_use]
    pub fn written_key(self, sounding: KeySignature) -> KeySignature {
        sounding.transposed(-self.0)
    }

    /// The sounding key signature of a part written in `written`.
    #[must_use]
    pub fn sounding_key(self, written: KeySignature) -> KeySignature {
        written.transposed(self.0)
    }

    /// This transposition and then another: from the first part's notes to what the second sounds
    /// when it reads what the first sounds.
    #[must_use]
    pub fn then(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// The transposition that undoes this one.
    #[must_use]
    pub fn inverse(self) -> Self {
        Self(-self.0)
    }
}

/// The pitch itself, or its usual spelling where it would need a double accidental.
fn plain(pitch: Pitch) -> Pitch {
    if pitch.alter.unsigned_abs() > 1 {
        Pitch::from_midi(pitch.midi())
    } else {
        pitch
    }
}
