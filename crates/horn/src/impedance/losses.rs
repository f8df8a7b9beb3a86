//! The boundary-layer function `F` of Zwikker and Kosten, exact at every Stokes number.
//!
//! `F(z) = 2 J1(z) / (z J0(z))` with `z = s exp(-j pi/4)`, where `s = a sqrt(w rho / mu)` is the
//! Stokes number (`s sqrt(Pr)` for the thermal layer). Because `z` lies on one ray, `F` is a
//! function of the single real number `s`: evaluated here by the ratio `J1/J0` alone, which never
//! overflows, while `J0` and `J1` themselves do beyond `s` of about 1000.

use std::f64::consts::FRAC_PI_4;
use std::sync::LazyLock;

use num_complex::Complex64;

/// Stokes number from which the asymptotic series is used; below it the neglected exponential
/// `exp(-sqrt(2) s)` would pass 1e-12.
pub(super) const ASYMPTOTIC_FROM: f64 = 20.0;
/// Terms kept of the asymptotic series.
pub(super) const TERMS: usize = 18;
/// Table intervals per unit of `s` below [`ASYMPTOTIC_FROM`].
const PER_UNIT: f64 = 128.0;

/// Coefficients of `F = sum c[k] s^-(k+1)`, with the largest `1/s` at which `k` terms suffice.
pub(super) struct Series {
    pub(super) c: [Complex64; TERMS],
    /// `reach[k]`: largest `1/s` at which the sum may stop after `k` terms (error under 1e-12).
    pub(super) reach: [f64; TERMS],
}

/// The series of `J1/J0` in `1/z`, from the Riccati equation `q' = 1 + q^2 - q/z` with the branch
/// that grows along the ray (`q -> -j`).
pub(super) static SERIES: LazyLock<Series> = LazyLock::new(|| {
    let mut q = [Complex64::default(); TERMS];
    q[0] = -Complex64::i();
    for k in 1..TERMS {
        let cross: Complex64 = (1..k).map(|i| q[i] * q[k - i]).sum();
        q[k] = ((2.0 - k as f64) * q[k - 1] - cross) / (2.0 * q[0]);
    }
    let mut c = [Complex64::default(); TERMS];
    for (k, (c, q)) in c.iter_mut().zip(q).enumerate() {
        *c = 2.0 * q * Complex64::cis(FRAC_PI_4 * (k as f64 + 1.0));
    }
    let mut reach = [0.0; TERMS];
    for k in 0..TERMS {
        reach[k] = (1e-12 / c[k].norm().max(1e-30)).powf(1.0 / (k as f64 + 1.0));
    }
    Series { c, reach }
});

/// `F` and its slope on a fine grid below [`ASYMPTOTIC_FROM`] (cubic Hermite error under 2e-11).
static TABLE: LazyLock<Vec<(Complex64, Complex64)>> = LazyLock::new(|| {
    (0..=(ASYMPTOTIC_FROM * PER_UNIT) as usize + 1)
        .map(|i| slope_and_value(i as f64 / PER_UNIT))
        .collect()
});

/// `F(s)`: exact to 1e-10 for every real Stokes number `s >= 0`; 1 at 0, towards 0 for wide tubes.
///
/// Source: Zwikker & Kosten, *Sound Absorbing Materials* (1949); form as in Chaigne & Kergomard,
/// ch. 5.
///
/// ```
/// assert!((horn::impedance::thermoviscous(0.0).re - 1.0).abs() < 1e-12);
/// let wide = horn::impedance::thermoviscous(1000.0);
/// assert!((wide.re - 2_f64.sqrt() / 1000.0).abs() < 2e-6);
/// ```
#[must_use]
pub fn thermoviscous(s: f64) -> Complex64 {
    if s >= ASYMPTOTIC_FROM {
        let t = 1.0 / s;
        return SERIES
            .c
            .iter()
            .rev()
            .fold(Complex64::default(), |sum, &c| (sum + c) * t);
    }
    let at = s.max(0.0) * PER_UNIT;
    let i = at as usize;
    let (Some(&(f0, d0)), Some(&(f1, d1))) = (TABLE.get(i), TABLE.get(i + 1)) else {
        return Complex64::new(f64::NAN, f64::NAN);
    };
    let x = at - i as f64;
    let h = 1.0 / PER_UNIT;
    let (y, xx) = (1.0 - x, x * x);
    f0 * (y * y * (1.0 + 2.0 * x)) + f1 * (xx * (3.0 - 2.0 * x)) + d0 * (h * x * y * y)
        - d1 * (h * xx * y)
}

/// `F` by backward recurrence of `J(n)/J(n-1)`, and `dF/ds`.
fn slope_and_value(s: f64) -> (Complex64, Complex64) {
    let ray = Complex64::cis(-FRAC_PI_4);
    if s < 1e-6 {
        // F = 1 + z^2/8 + ..., and z^2 = -j s^2.
        return (Complex64::new(1.0, 0.0), Complex64::default());
    }
    let z = ray * s;
    let q = bessel_ratio(z);
    let slope = 1.0 + q * q - q / z;
    (2.0 * q / z, (2.0 * slope / z - 2.0 * q / (z * z)) * ray)
}

/// `J1(z)/J0(z)` by backward recurrence, for any complex `z` that is no zero of `J0`.
pub(super) fn bessel_ratio(z: Complex64) -> Complex64 {
    let start = (1.5 * z.norm()) as u32 + 30;
    (1..=start).rev().fold(Complex64::default(), |next, n| {
        z / (2.0 * f64::from(n) - z * next)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(s: f64) -> Complex64 {
        let z = Complex64::cis(-FRAC_PI_4) * s;
        2.0 * bessel_ratio(z) / z
    }

    /// Abramowitz & Stegun, *Handbook of Mathematical Functions*, tables 9.1 and 9.8:
    /// J0, J1 at real 2; I0, I1 at real 2 (as J at 2j).
    #[test]
    fn ratio_agrees_with_the_handbook() {
        let real = bessel_ratio(Complex64::new(2.0, 0.0));
        assert!((real.re - 0.576_724_807_8 / 0.223_890_779_1).abs() < 1e-8);
        let imaginary = bessel_ratio(Complex64::new(0.0, 2.0));
        assert!((imaginary.im - 1.590_636_855 / 2.279_585_302).abs() < 1e-8);
    }

    /// Abramowitz & Stegun, table 9.12: ber, bei and their slopes at 2 give J0(z) = ber + j bei on
    /// the ray z = x exp(3 pi j/4), whose square is ours.
    #[test]
    fn ratio_agrees_with_kelvin_functions() {
        let (ber, bei) = (0.751_734_182_7, 0.972_291_627_3);
        let (ber1, bei1) = (-0.493_067_124_8, 0.917_013_613_4);
        // d/dx J0(x e^{3pi j/4}) = -e^{3 pi j/4} J1.
        let ray = Complex64::cis(3.0 * FRAC_PI_4);
        let ratio = -Complex64::new(ber1, bei1) / ray / Complex64::new(ber, bei);
        assert!((bessel_ratio(ray * 2.0) - ratio).norm() < 1e-7, "{ratio}");
    }

    #[test]
    fn table_and_series_equal_the_recurrence() {
        let mut worst = 0.0_f64;
        for i in 0..4000 {
            let s = 0.013 + f64::from(i) * 0.0201;
            worst = worst.max((thermoviscous(s) - exact(s)).norm());
        }
        assert!(worst < 3e-11, "{worst:e}");
    }

    #[test]
    fn short_series_keep_their_promise() {
        for k in 1..TERMS {
            let t = SERIES.reach[k].min(1.0 / ASYMPTOTIC_FROM);
            let sum = SERIES.c[..k]
                .iter()
                .rev()
                .fold(Complex64::default(), |sum, &c| (sum + c) * t);
            assert!(
                (sum - exact(1.0 / t)).norm() < 3e-12,
                "{k} terms at s = {}",
                1.0 / t
            );
        }
    }
}
