//! Frequencies of pitches under a pitch standard and a temperament, and back.

use serde::{Deserialize, Serialize};

use crate::{Cents, Hertz, KeySignature, Pitch, Sounding, Temperament};

/// Lowest pitch standard in use, hertz (a semitone under 440).
pub const A4_LOWEST: f64 = 415.0;
/// Highest pitch standard in use, hertz (a semitone over 440).
pub const A4_HIGHEST: f64 = 466.0;

/// A pitch standard and a temperament. A4 keeps the frequency given in every temperament's
/// equal frame: the root is placed where equal temperament has it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tuning {
    /// Frequency of A4 in equal temperament, 415 to 466 Hz in use.
    pub a4: Hertz,
    /// The temperament.
    pub temperament: Temperament,
}

/// Why a tuning cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TuningError {
    /// The pitch standard is out of range.
    #[error("A4 = {a4} Hz is out of range: give 415 to 466 Hz")]
    A4 {
        /// Hertz asked for.
        a4: f64,
    },
    /// The root is no pitch class.
    #[error("root {root} is no pitch class: give 0 (C) to 11 (B)")]
    Root {
        /// The root asked for.
        root: u8,
    },
    /// The table does not climb.
    #[error(
        "degree {degree} of the table lies at {value} cents: start at 0 and let each degree lie above the one before, below 1200"
    )]
    Table {
        /// The first degree out of place.
        degree: u8,
        /// Its cents.
        value: f64,
    },
}

/// The pitch nearest to a frequency.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Nearest {
    /// The pitch.
    pub pitch: Sounding,
    /// How far the frequency lies above it (negative: below).
    pub cents: Cents,
}

impl Default for Tuning {
    /// Equal temperament at A4 = 440 Hz (ISO 16:1975).
    fn default() -> Self {
        Self {
            a4: Hertz(440.0),
            temperament: Temperament::Equal,
        }
    }
}

impl Tuning {
    /// A tuning that can be used.
    ///
    /// # Errors
    /// [`TuningError`] for an A4 outside 415 to 466 Hz, a root above 11, or a table that does not
    /// climb from 0 to below 1200 cents.
    ///
    /// ```
    /// use tone::{Hertz, Temperament, Tuning};
    ///
    /// assert!(Tuning::new(Hertz(442.0), Temperament::Equal).is_ok());
    /// let error = Tuning::new(Hertz(300.0), Temperament::Equal).unwrap_err();
    /// assert_eq!(error.to_string(), "A4 = 300 Hz is out of range: give 415 to 466 Hz");
    /// ```
    pub fn new(a4: Hertz, temperament: Temperament) -> Result<Self, TuningError> {
        let tuning = Self { a4, temperament };
        tuning.check()?;
        Ok(tuning)
    }

    /// Whether this tuning can be used; for one that came from a file or a request.
    ///
    /// # Errors
    /// As [`Tuning::new`].
    pub fn check(&self) -> Result<(), TuningError> {
        if !(A4_LOWEST..=A4_HIGHEST).contains(&self.a4.0) {
            return Err(TuningError::A4 { a4: self.a4.0 });
        }
        self.temperament.check()
    }

    /// Frequency of a MIDI key in equal temperament at this pitch standard.
    #[must_use]
    pub fn equal(&self, midi: i32) -> Hertz {
        Hertz(self.a4.0 * ((f64::from(midi) - 69.0) / 12.0).exp2())
    }

    /// Frequency of a sounding pitch.
    ///
    /// ```
    /// let c4 = tone::Tuning::default().frequency("C4".parse()?);
    /// assert!((c4.0 - 261.625_565).abs() < 1e-6);
    /// # Ok::<(), tone::ParsePitchError>(())
    /// ```
    #[must_use]
    pub fn frequency(&self, pitch: Sounding) -> Hertz {
        self.equal(pitch.midi()).shifted(self.offset(pitch.midi()))
    }

    /// How far the temperament puts a MIDI key from equal temperament.
    #[must_use]
    pub fn offset(&self, midi: i32) -> Cents {
        if self.temperament == Temperament::Equal {
            return Cents(0.0);
        }
        let above = i64::from(midi) - i64::from(self.temperament.root());
        let degree = above.rem_euclid(12) as u8;
        Cents(self.temperament.degree(degree).0 - 100.0 * f64::from(degree))
    }

    /// The pitch of this tuning nearest to a frequency, in the usual spelling; `None` for a
    /// frequency that is not positive or not finite, or outside octaves -2 to 12.
    ///
    /// ```
    /// use tone::{Hertz, Tuning};
    ///
    /// let near = Tuning::default().nearest(Hertz(445.0)).unwrap();
    /// assert_eq!(near.pitch.to_string(), "A4");
    /// assert!((near.cents.0 - 19.56).abs() < 0.01);
    /// ```
    #[must_use]
    pub fn nearest(&self, frequency: Hertz) -> Option<Nearest> {
        self.nearest_in(frequency, KeySignature::default())
    }

    /// As [`Tuning::nearest`], spelled for a key signature.
    #[must_use]
    pub fn nearest_in(&self, frequency: Hertz, key: KeySignature) -> Option<Nearest> {
        /// MIDI keys of C-2 and B12.
        const KEYS: std::ops::RangeInclusive<f64> = -12.0..=167.0;
        let exact = 69.0 + frequency.cents_above(self.a4).0 / 100.0;
        if !KEYS.contains(&exact.round()) {
            return None;
        }
        // A table may put a degree anywhere between its neighbours, even half an octave away.
        let middle = exact.round() as i32;
        (middle - 12..=middle + 12)
            .map(|midi| Nearest {
                pitch: Sounding(Pitch::spelled(midi, key)),
                cents: frequency.cents_above(self.equal(midi).shifted(self.offset(midi))),
            })
            .min_by(|a, b| a.cents.0.abs().total_cmp(&b.cents.0.abs()))
    }
}
