//! How likely a stretch of samples is under a complex Gaussian process of known covariance.
//!
//! C. E. Rasmussen & C. K. I. Williams, Gaussian Processes for Machine Learning (2006), algorithm 2.1, for
//! circular complex values: -y* K⁻¹ y - log det K, the constant left out.

use pulp::{Arch, Simd, WithSimd};

use crate::slur::hall::process::{Covariance, TOGETHER};

/// Logarithm of how likely the values are, nats; least likely of all where the matrix is no covariance.
/// The matrix is spent.
pub(super) fn likelihood(covariance: &mut Covariance) -> f64 {
    Arch::new().dispatch(Cholesky(covariance))
}

/// Some rows at a time: first what the rows above foretell of them is taken off, then they are finished one
/// by one. The values are one more column, so that each becomes what the ones before it do not foretell.
struct Cholesky<'a>(&'a mut Covariance);

impl WithSimd for Cholesky<'_> {
    type Output = f64;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> f64 {
        let (count, stride) = (self.0.count, self.0.stride);
        let mut sum = 0.0;
        for first in (0..count).step_by(TOGETHER) {
            let (above_re, re) = self.0.re.split_at_mut(first * stride);
            let (above_im, im) = self.0.im.split_at_mut(first * stride);
            let (Some(re), Some(im)) = (
                re.get_mut(..TOGETHER * stride),
                im.get_mut(..TOGETHER * stride),
            ) else {
                continue;
            };
            let above = Rows {
                re: above_re,
                im: above_im,
                stride,
            };
            take_off_above(simd, &above, first, re, im);
            for row in 0..TOGETHER.min(count - first) {
                let (_, re) = re.split_at_mut(row * stride);
                let (_, im) = im.split_at_mut(row * stride);
                match finish(simd, stride, first + row, TOGETHER - row, re, im) {
                    Some(power) => {
                        let value = re.get(count).zip(im.get(count));
                        let value = value.map_or(0.0, |(re, im)| re * re + im * im);
                        sum -= f64::from(power.ln()) + f64::from(value);
                    }
                    None => return f64::MIN / 4.0,
                }
            }
        }
        sum
    }
}

/// Rows that are finished.
struct Rows<'a> {
    re: &'a [f32],
    im: &'a [f32],
    stride: usize,
}

impl Rows<'_> {
    /// [`TOGETHER`] values of a row from a place in the matrix on.
    #[inline(always)]
    fn by(&self, place: usize) -> Option<(&[f32; TOGETHER], &[f32; TOGETHER])> {
        let re = self.re.get(place..)?.first_chunk()?;
        Some((re, self.im.get(place..)?.first_chunk()?))
    }
}

/// Takes what the rows above foretell off [`TOGETHER`] rows: register by register, so that the sums of all
/// these rows stay in registers on the way down.
#[inline(always)]
fn take_off_above<S: Simd>(
    simd: S,
    above: &Rows<'_>,
    first: usize,
    re: &mut [f32],
    im: &mut [f32],
) {
    let width = above.stride / S::F32_LANES;
    let (to_re, to_im) = (S::as_mut_simd_f32s(re).0, S::as_mut_simd_f32s(im).0);
    let (of_re, of_im) = (S::as_simd_f32s(above.re).0, S::as_simd_f32s(above.im).0);
    for place in first / S::F32_LANES..width {
        let mut sums = [(simd.splat_f32s(0.0), simd.splat_f32s(0.0)); TOGETHER];
        // By index: a chain of iterators is not always inlined, and a call would cost the registers.
        let (mut of_place, mut by_place) = (place, first);
        for _ in 0..first {
            let of = of_re.get(of_place).zip(of_im.get(of_place));
            let (Some(by), Some((re, im))) = (above.by(by_place), of) else {
                break;
            };
            of_place += width;
            by_place += above.stride;
            for ((sum_re, sum_im), (by_re, by_im)) in sums.iter_mut().zip(by.0.iter().zip(by.1)) {
                let by = (simd.splat_f32s(*by_re), simd.splat_f32s(*by_im));
                (*sum_re, *sum_im) = less(simd, (*sum_re, *sum_im), by, (*re, *im));
            }
        }
        for (row, (sum_re, sum_im)) in sums.into_iter().enumerate() {
            let place = row * width + place;
            if let Some((re, im)) = to_re.get_mut(place).zip(to_im.get_mut(place)) {
                *re = simd.add_f32s(*re, sum_re);
                *im = simd.add_f32s(*im, sum_im);
            }
        }
    }
}

/// Divides the first of `rows` rows by its root and takes it off the others; the power that its value has
/// besides what is foretold, `None` when there is none.
#[inline(always)]
fn finish<S: Simd>(
    simd: S,
    stride: usize,
    row: usize,
    rows: usize,
    re: &mut [f32],
    im: &mut [f32],
) -> Option<f32> {
    let power = *re.get(row).filter(|power| **power > 0.0)?;
    let from = row - row % S::F32_LANES;
    let (of_re, re) = re.split_at_mut_checked(stride)?;
    let (of_im, im) = im.split_at_mut_checked(stride)?;
    let scale = simd.splat_f32s(power.sqrt().recip());
    for part in [&mut *of_re, &mut *of_im] {
        for some in S::as_mut_simd_f32s(part.get_mut(from..)?).0 {
            *some = simd.mul_f32s(*some, scale);
        }
    }
    let of = S::as_simd_f32s(of_re.get(from..)?).0;
    let of = of.iter().zip(S::as_simd_f32s(of_im.get(from..)?).0);
    let others = re.chunks_exact_mut(stride).zip(im.chunks_exact_mut(stride));
    for (other, (to_re, to_im)) in (row + 1..row + rows).zip(others) {
        let by_re = simd.splat_f32s(*of_re.get(other)?);
        let by_im = simd.splat_f32s(*of_im.get(other)?);
        let to_re = S::as_mut_simd_f32s(to_re.get_mut(from..)?).0;
        let to_im = S::as_mut_simd_f32s(to_im.get_mut(from..)?).0;
        for ((to_re, to_im), (re, im)) in to_re.iter_mut().zip(to_im).zip(of.clone()) {
            (*to_re, *to_im) = less(simd, (*to_re, *to_im), (by_re, by_im), (*re, *im));
        }
    }
    Some(power)
}

/// Some values less the conjugate of `by` times `of`.
#[inline(always)]
fn less<S: Simd>(
    simd: S,
    (re, im): (S::f32s, S::f32s),
    (by_re, by_im): (S::f32s, S::f32s),
    (of_re, of_im): (S::f32s, S::f32s),
) -> (S::f32s, S::f32s) {
    let re = simd.negate_mul_add_e_f32s(by_re, of_re, re);
    let im = simd.negate_mul_add_e_f32s(by_re, of_im, im);
    (
        simd.negate_mul_add_e_f32s(by_im, of_im, re),
        simd.mul_add_e_f32s(by_im, of_re, im),
    )
}

#[cfg(test)]
mod tests {
    use num_complex::Complex32;

    use super::*;

    /// Against the determinant and the inverse of a matrix of two, written out.
    #[test]
    fn two_values_are_as_likely_as_the_formula_says() {
        let (a, d, c) = (2.0_f32, 3.0_f32, Complex32::new(0.5, -1.0));
        let values = [Complex32::new(1.0, 2.0), Complex32::new(-0.5, 0.25)];
        let mut covariance = Covariance::new(&values);
        covariance.add(0, 0, a.into());
        covariance.add(0, 1, c.conj());
        covariance.add(1, 1, d.into());
        let found = likelihood(&mut covariance);
        let determinant = a * d - c.norm_sqr();
        let [y, z] = values;
        let cross = 2.0 * (z.conj() * c * y).re;
        let power = (d * y.norm_sqr() + a * z.norm_sqr() - cross) / determinant;
        let want = f64::from(-determinant.ln() - power);
        assert!((found - want).abs() < 1e-5, "{found} {want}");
    }

    /// Noise whose neighbours are alike by ρ (a Gauss-Markov process) has an inverse and a determinant that
    /// can be written out: each value is foretold by the one before alone.
    #[test]
    fn many_values_are_as_likely_as_each_after_the_one_before() {
        let along = |k: usize| Complex32::from_polar(0.9_f32.powi(k as i32), -0.4 * k as f32);
        for count in [1, 3, 4, 7, 8, 15, 16, 50] {
            let values: Vec<Complex32> = (0..count)
                .map(|k| Complex32::new((1.7 * k as f32).sin(), (2.3 * k as f32).cos()))
                .collect();
            let mut covariance = Covariance::new(&values);
            for early in 0..count {
                for late in early..count {
                    covariance.add(early, late, along(late - early));
                }
            }
            let found = likelihood(&mut covariance);
            let unforetold = 1.0 - along(1).norm_sqr();
            let first = values.first().map_or(0.0, Complex32::norm_sqr);
            let rest: f32 = values
                .windows(2)
                .map(|pair| {
                    let away = pair[1] - along(1).conj() * pair[0];
                    away.norm_sqr() / unforetold + unforetold.ln()
                })
                .sum();
            let want = f64::from(-first - rest);
            assert!((found / want - 1.0).abs() < 1e-4, "{count}: {found} {want}");
        }
    }

    #[test]
    fn what_is_no_covariance_is_not_likely() {
        let found = likelihood(&mut Covariance::new(&[Complex32::default()]));
        assert!(found < -1e30);
    }
}
