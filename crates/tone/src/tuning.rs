//! Frequencies of pitches under a temperament.

use serde::{Deserialize, Serialize};

use crate::{Cents, Hertz, Sounding};

/// How the twelve degrees lie within the octave.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Temperament {
    /// Twelve equal semitones.
    Equal,
    /// Five-limit just intervals over a root pitch class (0 = C).
    Just {
        /// Pitch class of the root, 0 to 11.
        root: u8,
    },
    /// Pure fifths over a root pitch class.
    Pythagorean {
        /// Pitch class of the root, 0 to 11.
        root: u8,
    },
    /// Quarter-comma meantone over a root pitch class.
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

/// A pitch standard and a temperament. A4 keeps the frequency given in every temperament's
/// equal frame: the root is placed where equal temperament has it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tuning {
    /// Frequency of A4 in equal temperament, 415 to 466 Hz in use.
    pub a4: Hertz,
    /// The temperament.
    pub temperament: Temperament,
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
    /// Frequency of a MIDI key in equal temperament at this pitch standard.
    #[must_use]
    pub fn equal(&self, midi: i32) -> Hertz {
        Hertz(self.a4.0 * (f64::from(midi - 69) / 12.0).exp2())
    }

    /// Frequency of a sounding pitch.
    #[must_use]
    pub fn frequency(&self, pitch: Sounding) -> Hertz {
        self.equal(pitch.midi()).shifted(self.offset(pitch.midi()))
    }

    /// How far the temperament puts a MIDI key from equal temperament.
    #[must_use]
    pub fn offset(&self, midi: i32) -> Cents {
        let (root, table) = match self.temperament {
            Temperament::Equal => return Cents(0.0),
            Temperament::Just { root } => (root, JUST),
            Temperament::Pythagorean { root } => (root, PYTHAGOREAN),
            Temperament::Meantone { root } => (root, MEANTONE),
            Temperament::Table { root, cents } => (root, cents),
        };
        let degree = (midi - i32::from(root)).rem_euclid(12);
        Cents(table[degree as usize] - 100.0 * f64::from(degree))
    }
}

/// 1, 16/15, 9/8, 6/5, 5/4, 4/3, 45/32, 3/2, 8/5, 5/3, 9/5, 15/8 in cents.
const JUST: [f64; 12] = [
    0.0,
    111.731_285_27,
    203.910_001_731,
    315.641_287_001,
    386.313_713_865,
    498.044_999_135,
    590.223_715_596,
    701.955_000_865,
    813.686_286_135,
    884.358_712_999,
    1_017.596_287_867,
    1_088.268_714_73,
];
/// Fifths of 3/2, from five below to six above the root.
const PYTHAGOREAN: [f64; 12] = [
    0.0,
    90.224_995_674,
    203.910_001_731,
    294.134_997_404,
    407.820_003_462,
    498.044_999_135,
    611.730_005_192,
    701.955_000_865,
    792.179_996_539,
    905.865_002_596,
    996.089_998_27,
    1_109.775_004_327,
];
/// Fifths of 5^(1/4), from three below to eight above the root.
const MEANTONE: [f64; 12] = [
    0.0,
    76.048_999_263,
    193.156_856_932,
    310.264_714_602,
    386.313_713_865,
    503.421_571_534,
    579.470_570_797,
    696.578_428_466,
    772.627_427_729,
    889.735_285_399,
    1_006.843_143_068,
    1_082.892_142_331,
];
