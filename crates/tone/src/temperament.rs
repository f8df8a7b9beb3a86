//! How the twelve degrees lie within the octave.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::name::shortened;
use crate::{Cents, NoteName, Pitch, TuningError};

/// How the twelve degrees lie within the octave.
///
/// Reads and prints as `equal`, `just Bb`, `pythagorean C`, `meantone D` (quarter-comma); a table
/// only prints.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Temperament {
    /// Twelve equal semitones.
    Equal,
    /// Five-limit just intervals over a root pitch class (0 = C):
    /// 1, 16/15, 9/8, 6/5, 5/4, 4/3, 45/32, 3/2, 8/5, 5/3, 9/5, 15/8.
    Just {
        /// Pitch class of the root, 0 to 11.
        root: u8,
    },
    /// Pure fifths over a root pitch class, from five below to six above.
    Pythagorean {
        /// Pitch class of the root, 0 to 11.
        root: u8,
    },
    /// Quarter-comma meantone over a root pitch class: fifths of 5^(1/4), from three below to eight
    /// above.
    Meantone {
        /// Pitch class of the root, 0 to 11.
        root: u8,
    },
    /// A user's table: cents of each degree above the root, degree 0 first.
    Table {
        /// Pitch class of the root, 0 to 11.
        root: u8,
        /// Cents above the root.
        cents: [f64; 12],
    },
}

/// Five-limit ratios of just intonation over the root, one for each semitone of the octave, as
/// numerator and denominator.
pub const JUST: [(f64, f64); 12] = [
    (1.0, 1.0),
    (16.0, 15.0),
    (9.0, 8.0),
    (6.0, 5.0),
    (5.0, 4.0),
    (4.0, 3.0),
    (45.0, 32.0),
    (3.0, 2.0),
    (8.0, 5.0),
    (5.0, 3.0),
    (9.0, 5.0),
    (15.0, 8.0),
];

impl Temperament {
    /// The pitch class that the intervals are counted from; C for equal temperament.
    #[must_use]
    pub const fn root(&self) -> u8 {
        match self {
            Self::Equal => 0,
            Self::Just { root }
            | Self::Pythagorean { root }
            | Self::Meantone { root }
            | Self::Table { root, .. } => *root,
        }
    }

    /// Cents of a degree (0 to 11, taken round the octave) above the root.
    ///
    /// ```
    /// let third = tone::Temperament::Just { root: 0 }.degree(4);
    /// assert!((third.0 - 1200.0 * (5.0_f64 / 4.0).log2()).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn degree(&self, degree: u8) -> Cents {
        let degree = degree % 12;
        let index = usize::from(degree);
        match self {
            Self::Equal => Cents(100.0 * f64::from(degree)),
            Self::Just { .. } => {
                let (over, under) = JUST.get(index).copied().unwrap_or((1.0, 1.0));
                Cents::from_ratio(over / under)
            }
            Self::Pythagorean { .. } => chain(degree, -5, 1.5_f64.log2()),
            Self::Meantone { .. } => chain(degree, -3, 5.0_f64.log2() / 4.0),
            Self::Table { cents, .. } => Cents(cents.get(index).copied().unwrap_or(0.0)),
        }
    }

    /// A table from deviations, in cents from equal temperament, of each degree above the root.
    #[must_use]
    pub fn from_deviations(root: u8, deviations: [f64; 12]) -> Self {
        let mut cents = deviations;
        for (degree, value) in (0_u8..).zip(&mut cents) {
            *value += 100.0 * f64::from(degree);
        }
        Self::Table { root, cents }
    }

    /// Whether root and table can be used.
    ///
    /// # Errors
    /// [`TuningError::Root`] for a root above 11; [`TuningError::Table`] for a table that does not
    /// start at 0 and climb to below 1200 cents.
    pub fn check(&self) -> Result<(), TuningError> {
        if self.root() > 11 {
            return Err(TuningError::Root { root: self.root() });
        }
        let Self::Table { cents, .. } = self else {
            return Ok(());
        };
        let mut below = None;
        for (degree, value) in (0_u8..).zip(cents.iter().copied()) {
            let in_place = match below {
                None => value == 0.0,
                Some(below) => value > below && value < 1200.0,
            };
            if !in_place {
                return Err(TuningError::Table { degree, value });
            }
            below = Some(value);
        }
        Ok(())
    }
}

/// A degree as a chain of fifths that starts `first` fifths from the root (twelve in all), each of
/// `fifth` octaves, brought into the octave.
fn chain(degree: u8, first: i32, fifth: f64) -> Cents {
    // Seven fifths up make one semitone up, octaves left out.
    let fifths = first + (7 * i32::from(degree) - first).rem_euclid(12);
    let octaves = f64::from(fifths) * fifth;
    Cents(1200.0 * (octaves - octaves.floor()))
}

impl fmt::Display for Temperament {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let root = Pitch::from_midi(i32::from(self.root())).name();
        match self {
            Self::Equal => f.write_str("equal"),
            Self::Just { .. } => write!(f, "just {root}"),
            Self::Pythagorean { .. } => write!(f, "pythagorean {root}"),
            Self::Meantone { .. } => write!(f, "meantone {root}"),
            Self::Table { .. } => write!(f, "table {root}"),
        }
    }
}

/// Why a text is not a temperament.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not a temperament: write equal, or just, pythagorean or meantone and a root, as in just Bb"
)]
pub struct ParseTemperamentError {
    text: String,
}

impl FromStr for Temperament {
    type Err = ParseTemperamentError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let fail = || ParseTemperamentError {
            text: shortened(text),
        };
        let mut words = text.split_whitespace();
        let kind = words.next().unwrap_or_default().to_ascii_lowercase();
        let root = words
            .next()
            .map(|word| word.parse().map(NoteName::pitch_class))
            .transpose()
            .map_err(|_| fail())?;
        match (kind.as_str(), root, words.next()) {
            ("equal", None, None) => Ok(Self::Equal),
            ("just", Some(root), None) => Ok(Self::Just { root }),
            ("pythagorean", Some(root), None) => Ok(Self::Pythagorean { root }),
            ("meantone", Some(root), None) => Ok(Self::Meantone { root }),
            _ => Err(fail()),
        }
    }
}
