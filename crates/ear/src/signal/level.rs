//! Short-time level of the working signal.

/// Running energy of a sound, from which the level of any stretch follows at once.
#[derive(Clone, Debug)]
pub struct Levels {
    rate: f64,
    /// Energy before each sample.
    sums: Vec<f64>,
}

/// What silence is given as, dB against full scale.
pub const SILENCE_DB: f64 = -150.0;

impl Levels {
    /// The running energy of `sound` at `rate` samples a second, its slow drift taken out.
    #[must_use]
    pub fn new(sound: &[f32], rate: f64) -> Self {
        // One-pole high-pass at 15 Hz: below the lowest pedal note.
        let keep = 1.0 - std::f64::consts::TAU * 15.0 / rate.max(1.0);
        let (mut drift, mut before, mut sum) = (0.0, 0.0, 0.0);
        let mut sums = Vec::with_capacity(sound.len() + 1);
        sums.push(0.0);
        for x in sound {
            let x = f64::from(*x);
            // What waits for the last sample comes last.
            drift = keep * (x - before) + keep * drift;
            before = x;
            sum += drift * drift;
            sums.push(sum);
        }
        Self { rate, sums }
    }

    /// Mean power between two times, cut to the sound; 0 outside it.
    #[must_use]
    pub fn power(&self, from_s: f64, to_s: f64) -> f64 {
        let last = self.sums.len().saturating_sub(1);
        let place = |s: f64| ((s * self.rate).round().max(0.0) as usize).min(last);
        let (from, to) = (place(from_s), place(to_s));
        if to <= from {
            return 0.0;
        }
        match (self.sums.get(from), self.sums.get(to)) {
            (Some(a), Some(b)) => (b - a).max(0.0) / (to - from) as f64,
            _ => 0.0,
        }
    }

    /// Level between two times in dB against full scale.
    #[must_use]
    pub fn db(&self, from_s: f64, to_s: f64) -> f64 {
        decibels(self.power(from_s, to_s))
    }
}

/// A power in dB, never below [`SILENCE_DB`].
#[must_use]
pub fn decibels(power: f64) -> f64 {
    (10.0 * power.max(1e-30).log10()).max(SILENCE_DB)
}
