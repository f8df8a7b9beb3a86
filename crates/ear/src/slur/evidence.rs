//! How much the harmonics' amplitudes speak for a tone in each.

use crate::signal::LANES;
use crate::slur::polynomial::polynomial;
use crate::slur::row::Each;
use crate::thresholds as t;

/// Log-likelihood ratio, nats, of "a sinusoid of unknown phase, its amplitude within a range of what
/// is asked, in noise" over "noise alone", for the amplitudes that were heard, over all harmonics:
/// Rice's distribution over Rayleigh's (Kay, Fundamentals of Statistical Signal Processing II, 1998,
/// sec. 7.6). `noise` is a power; all are in the units of one window's sum. Where nothing is asked,
/// nothing is told.
#[inline(always)]
pub(super) fn evidence(heard: &Each, asked: &Each, noise: &Each) -> f64 {
    // One logarithm for all: the Bessel functions' factors are multiplied, their exponents added.
    let (mut exponents, mut factors) = ([0.0_f32; LANES], [1.0_f32; LANES]);
    // The most likely amplitude of the range, so that harmonics which ought to be there and are not
    // count against.
    let (least, most) = (t::SLUR_WEAKEST as f32, t::SLUR_STRONGEST as f32);
    let registers = heard.as_chunks::<LANES>().0.iter();
    let registers = registers.zip(asked.as_chunks::<LANES>().0);
    for ((heard, asked), noise) in registers.zip(noise.as_chunks::<LANES>().0) {
        for lane in 0..LANES {
            let (heard, asked) = (heard[lane], asked[lane]);
            let amplitude = heard.max(least * asked).min(most * asked);
            let clear = amplitude / noise[lane];
            let (exponent, factor) = bessel(2.0 * clear * heard);
            exponents[lane] += exponent - amplitude * clear;
            factors[lane] *= factor;
        }
    }
    let exponent: f32 = exponents.iter().sum();
    let factor: f64 = factors.iter().map(|f| f64::from(*f)).product();
    f64::from(exponent) + factor.ln()
}

/// The modified Bessel function of the first kind and order 0 as an exponent and a factor before
/// its exponential, to 2e-7. Without a branch, so that a loop of it fills vector registers.
#[inline(always)]
fn bessel(x: f32) -> (f32, f32) {
    let share = x * (1.0 / SMALL);
    let near = polynomial(&NEAR, share * share);
    let over = x.max(SMALL).recip();
    let far = polynomial(&FAR, SMALL * over) * over.sqrt();
    if x < SMALL { (0.0, near) } else { (x, far) }
}

/// Below this the first polynomial holds, above it the second (Abramowitz & Stegun, Handbook of
/// Mathematical Functions, 1964, 9.8.1 and 9.8.2).
const SMALL: f32 = 3.75;
const NEAR: [f32; 7] = [
    1.0,
    3.515_622_9,
    3.089_942_4,
    1.206_749_2,
    0.265_973_2,
    0.036_076_8,
    0.004_581_3,
];
const FAR: [f32; 9] = [
    0.398_942_3,
    0.013_285_92,
    0.002_253_19,
    -0.001_575_65,
    0.009_162_81,
    -0.020_577_06,
    0.026_355_37,
    -0.016_476_33,
    0.003_923_77,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slur::row::PLACES;

    #[test]
    fn the_bessel_function_has_its_tabled_values() {
        // Abramowitz & Stegun, Handbook of Mathematical Functions (1964), table 9.8: exp(-x) I0(x).
        for (x, tabled) in [
            (0.0, 1.0),
            (0.5, 0.645_035),
            (1.0, 0.465_760),
            (2.0, 0.308_508),
            (5.0, 0.183_541),
            (10.0, 0.127_833),
        ] {
            let (exponent, factor) = bessel(x);
            let found = (exponent - x).exp() * factor;
            assert!((found - tabled).abs() < 2e-6, "{x}: {found}");
        }
    }

    #[test]
    fn what_is_expected_speaks_for_a_tone_and_its_absence_against() {
        let of = |heard: f32, asked: f32| {
            evidence(&[heard; PLACES], &[asked; PLACES], &[0.05; PLACES]) / PLACES as f64
        };
        assert!(of(1.0, 1.0) > 10.0);
        assert!(of(0.0, 1.0) < -1.0);
        // Noise alone decides nothing where little is asked.
        assert!(of(0.2, 0.1).abs() < 1.0);
        assert_eq!(of(1.0, 0.0), 0.0);
        // Nor does the sum of many run over.
        assert!(of(1.0e4, 1.0e4).is_finite());
    }
}
