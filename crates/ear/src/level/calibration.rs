//! From dB against full scale to dB(A) SPL, by one reading of a sound level meter.

use serde::{Deserialize, Serialize};

use super::Weighted;
use crate::{Measure, Samples, WhyNot};

/// The reading holds for a steady sound: the spread of its 0.125 s levels may be this large, dB.
const STEADY_DB: f64 = 3.0;
/// Shortest sound for a reading, seconds.
const SHORTEST_S: f64 = 2.0;
/// Time constant of a meter's "fast" reading, seconds (IEC 61672-1).
const FAST_S: f64 = 0.125;
/// Standard uncertainty taken for a reading, dB: the class 2 limit at 1 kHz (1.0 dB, IEC 61672-1)
/// with half a decibel for reading it off a moving display.
const READING_DB: f64 = 1.1;

/// How far dB(A) SPL at the meter lies above A-weighted dB against full scale, for one microphone
/// at one gain in one place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// dB to add.
    pub offset_db: f64,
    /// Standard uncertainty, dB.
    pub uncertainty_db: f64,
}

/// Why a reading can't be used.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CalibrationError {
    /// Too short.
    #[error(
        "the sound lasts {seconds:.1} s: hold one note for at least 2 s while reading the meter"
    )]
    TooShort {
        /// How long it was.
        seconds: f64,
    },
    /// Not steady.
    #[error(
        "the level moves by {spread_db:.1} dB: hold one note as evenly as you can (within 3 dB)"
    )]
    NotSteady {
        /// Standard deviation times two, dB.
        spread_db: f64,
    },
    /// A reading that no instrument gives.
    #[error("{reading_dba} dB(A) is no reading of a played note: expected 40 to 130")]
    Reading {
        /// What was given.
        reading_dba: f64,
    },
}

impl Calibration {
    /// From the sound of one held note and what the meter beside the microphone showed.
    ///
    /// # Errors
    /// [`CalibrationError`] for a sound too short or unsteady, or an impossible reading.
    pub fn from_reading(samples: &Samples, reading_dba: f64) -> Result<Self, CalibrationError> {
        if !(40.0..=130.0).contains(&reading_dba) {
            return Err(CalibrationError::Reading { reading_dba });
        }
        let seconds = samples.seconds();
        let weighted = Weighted::a(samples);
        // The start is left to the filters and the attack.
        let levels: Vec<f64> = weighted.levels(FAST_S, seconds, FAST_S).collect();
        let level = weighted.level_db(FAST_S, seconds);
        let (Some(level), true) = (level, seconds >= SHORTEST_S) else {
            return Err(CalibrationError::TooShort { seconds });
        };
        let mean = levels.iter().sum::<f64>() / levels.len().max(1) as f64;
        let spread = levels.iter().map(|l| (l - mean).powi(2)).sum::<f64>()
            / levels.len().saturating_sub(1).max(1) as f64;
        let spread_db = 2.0 * spread.sqrt();
        if spread_db > STEADY_DB {
            return Err(CalibrationError::NotSteady { spread_db });
        }
        Ok(Self {
            offset_db: reading_dba - level,
            uncertainty_db: (READING_DB.powi(2) + spread / levels.len().max(1) as f64).sqrt(),
        })
    }

    /// A level in dB(A) SPL from A-weighted dB against full scale.
    #[must_use]
    pub fn dba(calibration: Option<Self>, level_db: f64, uncertainty_db: f64) -> Measure {
        calibration.map_or(Measure::unknown(WhyNot::Uncalibrated), |c| {
            Measure::known(
                level_db + c.offset_db,
                c.uncertainty_db.hypot(uncertainty_db),
            )
        })
    }
}
