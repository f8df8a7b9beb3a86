//! The fine pitch beside the least error that any unbiased estimator can have in the same window.
//!
//! Cramer-Rao bound for the fundamental of real harmonics in white noise, amplitudes and phases
//! unknown: var(omega) >= 24 sigma^2 / (N (N^2 - 1) sum l^2 A_l^2), in radians a sample (one
//! sinusoid: Rife & Boorstyn, IEEE Trans. Inf. Theory 20 (1974) 591; harmonics: Christensen &
//! Jakobsson, Multi-Pitch Estimation, 2009, ch. 2; both formulas from memory).
//!
//! What keeps the fit from the bound: the Hann window (which keeps other notes out), and that weak
//! harmonics count for less than their noise alone would let them
//! (`UNSTEADY` in `ear::pitch::fine`), because players are not as steady as these tones.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod support;

use ear::Samples;
use ear::pitch::Fine;
use ear::signal::{Rates, halved};
use support::random::Random;

const RATE: f64 = 22_050.0;
const TRIALS: u32 = 300;
/// Harmonics of the tone, falling as their number.
const HARMONICS: u32 = 8;

/// Root mean square error of the fit and the bound, both in cents.
fn error_and_bound(hz: f64, snr_db: f64, random: &mut Random) -> (f64, f64) {
    let mut fine = Fine::new(RATE);
    let count = (fine.window_s(hz) * RATE).round();
    let amplitude = |l: u32| 1.0 / f64::from(l);
    let power: f64 = (1..=HARMONICS).map(|l| amplitude(l).powi(2) / 2.0).sum();
    let noise = (power / 10_f64.powf(snr_db / 10.0)).sqrt();
    let mut squares = 0.0;
    for _ in 0..TRIALS {
        let hz = hz * random.between(0.99, 1.01);
        let phases: Vec<f64> = (0..HARMONICS)
            .map(|_| random.between(0.0, std::f64::consts::TAU))
            .collect();
        let length = 3 * count as usize;
        let sound: Vec<f32> = (0..length)
            .map(|n| {
                let turn = std::f64::consts::TAU * hz * n as f64 / RATE;
                let tone: f64 = (1..=HARMONICS)
                    .zip(&phases)
                    .map(|(l, phase)| amplitude(l) * (f64::from(l) * turn + phase).sin())
                    .sum();
                (tone + noise * random.normal()) as f32
            })
            .collect();
        let guess = hz * random.between(0.995, 1.005);
        let sound = Samples::new(RATE, sound);
        let half = halved(&sound);
        let rates = Rates {
            whole: &sound.data,
            halved: &half.data,
        };
        let fit = fine.fit(rates, (length / 2) as isize, guess).unwrap();
        squares += (1200.0 * (fit.hz / hz).log2()).powi(2);
    }
    let weights: f64 = (1..=HARMONICS)
        .map(|l| (f64::from(l) * amplitude(l)).powi(2))
        .sum();
    let variance = 24.0 * noise * noise / (count * (count * count - 1.0) * weights);
    let omega = std::f64::consts::TAU * hz / RATE;
    let bound = 1200.0 / std::f64::consts::LN_2 * variance.sqrt() / omega;
    ((squares / f64::from(TRIALS)).sqrt(), bound)
}

#[test]
fn the_fine_pitch_comes_near_the_cramer_rao_bound() {
    let mut random = Random::new(7);
    for snr_db in [20.0, 30.0] {
        for hz in [58.0, 117.0, 233.0, 466.0, 700.0] {
            let (error, bound) = error_and_bound(hz, snr_db, &mut random);
            println!(
                "{hz} Hz at {snr_db} dB: {error:.3} c, bound {bound:.3} c, {:.2} times",
                error / bound
            );
            assert!(
                error > 0.9 * bound,
                "{hz} Hz: below the bound, the noise is not what it says"
            );
            assert!(
                error < 6.0 * bound,
                "{hz} Hz: {error} c for a bound of {bound} c"
            );
        }
    }
}
