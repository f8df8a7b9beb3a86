//! Sines and cosines without a call, so that the loops round them keep their vector registers.

use num_complex::Complex32;

use crate::slur::polynomial::polynomial;

/// Taylor series of the sine and the cosine in powers of the square: up to a quarter turn to 7e-10 and 6e-9.
const SIN: [f64; 7] = [
    1.0,
    -1.0 / 6.0,
    1.0 / 120.0,
    -1.0 / 5_040.0,
    1.0 / 362_880.0,
    -1.0 / 39_916_800.0,
    1.0 / 6_227_020_800.0,
];
const COS: [f64; 7] = [
    1.0,
    -1.0 / 2.0,
    1.0 / 24.0,
    -1.0 / 720.0,
    1.0 / 40_320.0,
    -1.0 / 3_628_800.0,
    1.0 / 479_001_600.0,
];

/// The phasor that takes back so many turns.
#[inline(always)]
pub(super) fn cis(turns: f64) -> Complex32 {
    // Of twice the angle that is within a quarter turn.
    let x = std::f64::consts::PI * (turns - turns.round());
    let (sin, cos) = (x * polynomial(&SIN, x * x), polynomial(&COS, x * x));
    Complex32::new((1.0 - 2.0 * sin * sin) as f32, (-2.0 * sin * cos) as f32)
}

/// A raised cosine from 0 to 1 at a share of its length, 0 to 1.
#[inline(always)]
pub(super) fn eased(share: f64) -> f64 {
    let x = std::f64::consts::FRAC_PI_2 * share.min(1.0 - share);
    let sin = x * polynomial(&SIN, x * x);
    if share < 0.5 {
        sin * sin
    } else {
        1.0 - sin * sin
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phasors_and_easing_are_those_of_the_library() {
        for n in -2_000..2_000 {
            let turns = f64::from(n) * 0.001_3;
            let want = Complex32::cis(-std::f32::consts::TAU * turns.fract() as f32);
            assert!((cis(turns) - want).norm() < 1e-6, "{turns}");
        }
        for n in 0..=100 {
            let share = f64::from(n) / 100.0;
            let want = 0.5 - 0.5 * (std::f64::consts::PI * share).cos();
            assert!((eased(share) - want).abs() < 1e-12, "{share}");
        }
    }
}
