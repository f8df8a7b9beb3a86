//! Harmonics, wander and rises: what a simulated brass tone is made of.

use num_complex::Complex64;

use super::random::Random;
use super::takes::RATE;

/// Formant centre (Hz) and roll-off exponent of a timbre.
#[derive(Clone, Copy)]
pub struct Timbre(pub f64, pub f64);

pub const TUBA: Timbre = Timbre(300.0, 0.8);
pub const TROMBONE: Timbre = Timbre(550.0, 0.8);
pub const TRUMPET: Timbre = Timbre(1200.0, 0.8);

/// How many harmonics a tone has.
fn harmonics(lowest_hz: f64) -> usize {
    40.min((12_000.0 / lowest_hz) as usize)
}

impl Timbre {
    /// Amplitude of harmonic `n` at a frequency.
    fn gain(self, n: f64, hz: f64) -> f64 {
        let Self(formant, power) = self;
        let peak = 0.15 + (-(hz.max(1.0) / formant).log2().powi(2) / 1.62).exp();
        let roll = 1.0 / (1.0 + (hz / (2500.0 + 3.0 * formant)).powi(4));
        if hz < 16_000.0 {
            n.powf(-power) * peak * roll
        } else {
            0.0
        }
    }

    /// Power of a tone that is made with this amplitude, each harmonic's share weighed by its frequency.
    pub fn power(self, hz: f64, amp: f64, weight: impl Fn(f64) -> f64) -> f64 {
        (1..=harmonics(hz))
            .map(|n| {
                let (n, a) = (n as f64, amp.clamp(1e-4, 1.0));
                let level = self.gain(n, n * hz) * a * a.powf(0.04 * n);
                0.5 * level * level * weight(n * hz)
            })
            .sum()
    }
}

/// Harmonics `n^-p` under one formant, brighter when louder, random phases.
pub fn additive(hz: &[f64], amp: &[f64], timbre: Timbre, random: &mut Random) -> Vec<f64> {
    let lowest = hz.iter().copied().fold(f64::MAX, f64::min);
    let count = harmonics(lowest);
    let mut out = vec![0.0; hz.len()];
    // Each sample's turn and how much louder the next harmonic is, then one power of both for
    // each harmonic.
    let mut turn = 0.0;
    let turns: Vec<Complex64> = hz
        .iter()
        .map(|f| {
            turn += f / RATE;
            Complex64::cis(std::f64::consts::TAU * turn)
        })
        .collect();
    let louder: Vec<f64> = amp.iter().map(|a| a.clamp(1e-4, 1.0).powf(0.04)).collect();
    let mut levels: Vec<f64> = amp.iter().map(|a| a.clamp(1e-4, 1.0)).collect();
    let mut phases = vec![Complex64::new(1.0, 0.0); hz.len()];
    for n in 1..=count {
        let n = n as f64;
        let start = Complex64::cis(random.between(0.0, std::f64::consts::TAU));
        let (mut at_hz, mut gain) = (0.0_f64, 0.0);
        let of_sample = phases
            .iter_mut()
            .zip(&turns)
            .zip(levels.iter_mut().zip(&louder));
        for ((y, f0), ((phase, turn), (level, louder))) in out.iter_mut().zip(hz).zip(of_sample) {
            *phase *= turn;
            *level *= louder;
            let f = n * f0;
            if (f - at_hz).abs() > 0.5 {
                at_hz = f;
                gain = timbre.gain(n, f);
            }
            *y += gain * *level * (*phase * start).im;
        }
    }
    out
}

pub fn smooth_noise(n: usize, cut_hz: f64, random: &mut Random) -> Vec<f64> {
    let knots = random.normals((n as f64 / RATE * cut_hz * 2.0) as usize + 5);
    (0..n)
        .map(|i| {
            let x = i as f64 / RATE * cut_hz * 2.0;
            let k = x as usize;
            knots[k] + (knots[k + 1] - knots[k]) * (x - k as f64)
        })
        .collect()
}

/// Raised cosine from 0 to 1.
pub fn rise(n: usize) -> impl DoubleEndedIterator<Item = f64> + ExactSizeIterator {
    (0..n)
        .map(move |i| 0.5 - 0.5 * (std::f64::consts::PI * (i as f64 + 0.5) / n.max(1) as f64).cos())
}
