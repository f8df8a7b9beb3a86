//! A steady or moving tone as a sum of harmonics below half the sample rate.

use crate::Rate;

/// Harmonics at most; the corner makes higher ones inaudible.
const MOST: usize = 48;
/// Samples between new weights; weights move linearly in between.
const BLOCK: u32 = 32;
/// Harmonics fade out between these shares of the sample rate.
const FADE_FROM: f64 = 0.40;
const FADE_TO: f64 = 0.47;
/// Weights below this share of full scale (-200 dB) are not summed.
const INAUDIBLE: f64 = 1e-10;

/// How a tone's harmonics fall off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Slope {
    /// Power of the harmonic's number: 1 is a sawtooth's.
    pub(crate) power: f64,
    /// Frequency above which a harmonic falls 12 dB an octave faster.
    pub(crate) corner_hz: f64,
}

/// An oscillator of unit root mean square; its phase never jumps.
#[derive(Clone, Debug)]
pub(crate) struct Harmonics {
    rate: f64,
    /// Phase of the fundamental in cycles, 0 to 1.
    phase: f64,
    weights: [f64; MOST],
    steps: [f64; MOST],
    count: usize,
    /// Samples until new weights are due.
    left: u32,
    /// What the weights are on their way to.
    bound_for: Option<(f64, Slope)>,
}

impl Harmonics {
    pub(crate) fn new(rate: Rate) -> Self {
        Self {
            rate: rate.hz(),
            phase: 0.0,
            weights: [0.0; MOST],
            steps: [0.0; MOST],
            count: 0,
            left: 0,
            bound_for: None,
        }
    }

    /// The next sample at this frequency. Never allocates.
    pub(crate) fn next(&mut self, hz: f64, slope: Slope) -> f64 {
        if self.left == 0 {
            self.renew(hz, slope);
        }
        self.left -= 1;
        let angle = std::f64::consts::TAU * self.phase;
        let (sine, cosine) = angle.sin_cos();
        // sin(n a) = 2 cos(a) sin((n-1) a) - sin((n-2) a)
        let (mut before, mut now) = (0.0, sine);
        let mut sum = 0.0;
        for (weight, step) in self.weights.iter_mut().zip(&self.steps).take(self.count) {
            sum += *weight * now;
            *weight += step;
            (before, now) = (now, 2.0 * cosine * now - before);
        }
        self.phase += hz / self.rate;
        self.phase -= self.phase.floor();
        sum
    }

    fn renew(&mut self, hz: f64, slope: Slope) {
        self.left = BLOCK;
        let before = self.bound_for.replace((hz, slope));
        if before == self.bound_for {
            self.steps = [0.0; MOST];
            return;
        }
        let wanted = weights(hz, slope, self.rate);
        if before.is_none() {
            self.weights = wanted;
        }
        let pairs = self.weights.iter().zip(&wanted);
        for (step, (now, wanted)) in self.steps.iter_mut().zip(pairs) {
            *step = (wanted - now) / f64::from(BLOCK);
        }
        let sounding = |w: &[f64; MOST]| {
            w.iter()
                .rposition(|weight| weight.abs() > INAUDIBLE)
                .map_or(0, |last| last + 1)
        };
        self.count = sounding(&self.weights).max(sounding(&wanted));
    }
}

/// Amplitudes of the harmonics of a tone whose root mean square is 1; all 0 when not even the first
/// lies below the fade.
fn weights(hz: f64, slope: Slope, rate: f64) -> [f64; MOST] {
    let mut weights = [0.0; MOST];
    let mut power = 0.0;
    for (number, weight) in (1_u32..).zip(&mut weights) {
        let number = f64::from(number);
        let frequency = number * hz;
        let fade = crate::level::rise((FADE_TO - frequency / rate) / (FADE_TO - FADE_FROM));
        let fall = 1.0 + (frequency / slope.corner_hz).powi(2);
        *weight = number.powf(-slope.power) * fade / fall;
        power += *weight * *weight / 2.0;
    }
    if power > 0.0 {
        let scale = power.sqrt().recip();
        for weight in &mut weights {
            *weight *= scale;
        }
    }
    weights
}
