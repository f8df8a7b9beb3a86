//! The harmonics of a known pitch as phasors: sound turned against the pitch through a Hann window.

use num_complex::Complex64;

use crate::signal::dot;

/// The phasor of each of `harmonics` at even steps; the first window begins with the first sample.
///
/// `turns` says for each sample how far the fundamental turns in it (hertz over the sample rate),
/// `size` is the window's length and `step` the way from one to the next, in samples. A harmonic
/// that follows the pitch stands still. Phasors have the harmonic's amplitude.
#[must_use]
pub fn phasors(
    sound: &[f32],
    turns: impl Fn(usize) -> f64,
    harmonics: &[usize],
    size: usize,
    step: f64,
) -> Vec<Vec<Complex64>> {
    let size = size.max(8);
    let window: Vec<f32> = (0..size)
        .map(|n| {
            let turn = std::f64::consts::TAU * (n as f64 + 0.5) / size as f64;
            ((1.0 - turn.cos()) * 2.0 / size as f64) as f32
        })
        .collect();
    let mut turn = 0.0_f64;
    let first: Vec<Complex64> = (0..sound.len())
        .map(|n| {
            turn = (turn + turns(n)).fract();
            Complex64::cis(-std::f64::consts::TAU * turn)
        })
        .collect();
    let steps = (sound.len().saturating_sub(size) as f64 / step.max(1.0)) as usize;
    let mut of_harmonic = vec![Complex64::new(1.0, 0.0); sound.len()];
    let mut order = 0;
    let (mut re, mut im) = (vec![0.0_f32; sound.len()], vec![0.0_f32; sound.len()]);
    harmonics
        .iter()
        .map(|harmonic| {
            while order < *harmonic {
                for (h, turn) in of_harmonic.iter_mut().zip(&first) {
                    *h *= turn;
                }
                order += 1;
            }
            let parts = re.iter_mut().zip(&mut im);
            for ((h, x), (re, im)) in of_harmonic.iter().zip(sound).zip(parts) {
                (*re, *im) = (h.re as f32 * x, h.im as f32 * x);
            }
            let seen = |values: &[f32], k: usize| {
                let from = (k as f64 * step).round() as usize;
                f64::from(dot(values.get(from..from + size).unwrap_or(&[]), &window))
            };
            (0..steps)
                .map(|k| Complex64::new(seen(&re, k), seen(&im, k)))
                .collect()
        })
        .collect()
}

/// Power of all phasors together at every step.
#[must_use]
pub fn powers(phasors: &[Vec<Complex64>]) -> Vec<f64> {
    let count = phasors.iter().map(Vec::len).min().unwrap_or(0);
    let power = |k: usize| {
        let of_step = phasors.iter().filter_map(|row| row.get(k));
        of_step.map(Complex64::norm_sqr).sum()
    };
    (0..count).map(power).collect()
}

/// How far all phasors together move from `reach` steps before each step to `reach` after it
/// (squared), and the power they lose: together what a note's direct sound does when it ends.
#[must_use]
pub fn leaving(phasors: &[Vec<Complex64>], reach: usize) -> Vec<(f64, f64)> {
    let powers = powers(phasors);
    (reach..powers.len().saturating_sub(reach))
        .map(|k| {
            let moved: f64 = phasors
                .iter()
                .filter_map(|row| Some(row.get(k + reach)? - row.get(k - reach)?))
                .map(|d| d.norm_sqr())
                .sum();
            let lost = powers.get(k - reach).zip(powers.get(k + reach));
            (moved, lost.map_or(0.0, |(before, after)| before - after))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmonics_of_the_pitch_stand_still_and_have_their_amplitude() {
        let rate = 22_050.0;
        let wave = |n: usize| {
            let turn = std::f64::consts::TAU * 233.0 * n as f64 / rate;
            (0.3 * turn.sin() + 0.1 * (2.0 * turn + 1.0).cos()) as f32
        };
        let sound: Vec<f32> = (0..4_000).map(wave).collect();
        let found = phasors(&sound, |_| 233.0 / rate, &[1, 2], 441, 55.0);
        for (row, size) in found.iter().zip([0.3, 0.1]) {
            for z in row {
                assert!((z.norm() - size).abs() < 0.01, "{z}");
                assert!((z - row[0]).norm() < 0.01);
            }
        }
    }
}
