//! Samples with their rate, and where each note lies in them.

use serde::Serialize;
use tone::Hertz;

use crate::VoiceError;

/// A sample rate, 8000 to 384000 samples a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Rate(u32);

impl Rate {
    /// A rate.
    ///
    /// # Errors
    /// [`VoiceError::Rate`] outside 8000 to 384000.
    pub fn new(rate: u32) -> Result<Self, VoiceError> {
        if (8_000..=384_000).contains(&rate) {
            Ok(Self(rate))
        } else {
            Err(VoiceError::Rate { rate })
        }
    }

    /// Samples a second.
    #[must_use]
    pub const fn per_second(self) -> u32 {
        self.0
    }

    pub(crate) fn hz(self) -> f64 {
        f64::from(self.0)
    }

    /// The sample nearest to a time that is not negative.
    pub(crate) fn sample(self, seconds: f64) -> usize {
        (seconds.max(0.0) * self.hz()).round() as usize
    }

    /// Fails for a frequency that has no place below half the rate.
    pub(crate) fn check(self, frequency: Hertz) -> Result<(), VoiceError> {
        if frequency.0 >= 5.0 && frequency.0 < self.hz() / 2.0 {
            Ok(())
        } else {
            Err(VoiceError::Frequency {
                hz: frequency.0,
                rate: self.0,
            })
        }
    }
}

impl Default for Rate {
    /// 48000, as most sound devices run.
    fn default() -> Self {
        Self(48_000)
    }
}

/// Where a note lies in the sound.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// Id of the note in the part.
    pub note: String,
    /// When it starts, seconds.
    pub start_s: f64,
    /// When it has died away, seconds.
    pub end_s: f64,
    /// The frequency it holds.
    pub frequency: Hertz,
}

/// Mono samples in -1 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Audio {
    /// Samples a second.
    pub rate: Rate,
    /// The samples.
    pub samples: Vec<f32>,
    /// Where each note lies, in order; empty for a sound that is not a part.
    pub marks: Vec<Mark>,
    /// How much the whole was turned down so that nothing clips, dB (0 or negative).
    pub gain_db: f64,
}

impl Audio {
    /// Length in seconds.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.samples.len() as f64 / self.rate.hz()
    }

    /// Audio of a mix; turned down as a whole when its peak is above `PEAK`.
    pub(crate) fn from_mix(rate: Rate, mut samples: Vec<f32>, marks: Vec<Mark>) -> Self {
        /// Highest sample given out: -0.2 dBFS.
        const PEAK: f32 = 0.98;
        let peak = samples.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
        let mut gain_db = 0.0;
        if peak > PEAK {
            let gain = PEAK / peak;
            for sample in &mut samples {
                *sample *= gain;
            }
            gain_db = 20.0 * f64::from(gain).log10();
        }
        Self {
            rate,
            samples,
            marks,
            gain_db,
        }
    }
}
