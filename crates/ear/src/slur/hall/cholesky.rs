//! How likely a stretch of samples is under a complex Gaussian process of known covariance.
//!
//! C. E. Rasmussen & C. K. I. Williams, Gaussian Processes for Machine Learning (2006), algorithm 2.1, for
//! circular complex values: -y* K⁻¹ y - log det K, the constant left out.

use pulp::{Arch, Simd, WithSimd};

use crate::slur::hall::process::{Cell, Covariance, Lanes, Part, registers};

/// Rows and columns that are worked on together, so that what is fetched serves twice.
const PAIR: usize = 2;

/// Logarithm of how likely the values of all bands are, nats; least likely of all where a matrix is no covariance.
/// The matrices are spent.
pub(super) fn likelihood(covariance: &mut Covariance) -> f64 {
    Arch::new().dispatch(Cholesky(covariance))
}

/// Two rows at a time: first what the rows above foretell of them is taken off, then they are finished one
/// after the other. The values are one more column, so that each becomes what the ones before it do not foretell.
struct Cholesky<'a>(&'a mut Covariance);

impl WithSimd for Cholesky<'_> {
    type Output = f64;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> f64 {
        let (count, stride) = (self.0.count, self.0.stride);
        let mut sum = 0.0;
        for register in 0..registers::<S>() {
            for first in (0..count).step_by(PAIR) {
                let (above, here) = self.0.cells.split_at_mut(first * stride);
                let Some((row, next)) = here.split_at_mut_checked(stride) else {
                    continue;
                };
                let Some(next) = next.get_mut(..stride) else {
                    continue;
                };
                for column in (first..=count).step_by(PAIR) {
                    take_off_above(
                        simd,
                        register,
                        (above, stride),
                        (first, column),
                        (row, next),
                    );
                }
                let Some(one) = finish(simd, register, (first, count), row) else {
                    return f64::MIN / 4.0;
                };
                sum -= one;
                if first + 1 < count {
                    take_off(simd, register, first + 1, row, next);
                    let Some(one) = finish(simd, register, (first + 1, count), next) else {
                        return f64::MIN / 4.0;
                    };
                    sum -= one;
                }
            }
        }
        sum
    }
}

/// Takes what the rows above foretell off two columns of two rows; the sums stay in registers on the way down.
#[inline(always)]
fn take_off_above<S: Simd>(
    simd: S,
    register: usize,
    (above, stride): (&[Cell], usize),
    (first, column): (usize, usize),
    (row, next): (&mut [Cell], &mut [Cell]),
) {
    let (Some([a, b]), Some([c, d])) = (pair_mut(row, column), pair_mut(next, column)) else {
        return;
    };
    let mut sums = [a, b, c, d].map(|cell| cell.part(simd, register));
    for row in above.chunks_exact(stride) {
        let (Some([by, by_next]), Some([left, right])) = (pair(row, first), pair(row, column))
        else {
            break;
        };
        let [by, by_next] = [by, by_next].map(|cell| cell.part(simd, register));
        let [left, right] = [left, right].map(|cell| cell.part(simd, register));
        let [a, b, c, d] = sums;
        sums = [
            a.less(simd, by, left),
            b.less(simd, by, right),
            c.less(simd, by_next, left),
            d.less(simd, by_next, right),
        ];
    }
    let [a, b, c, d] = sums;
    if let (Some([to_a, to_b]), Some([to_c, to_d])) =
        (pair_mut(row, column), pair_mut(next, column))
    {
        to_a.put(simd, register, a);
        to_b.put(simd, register, b);
        to_c.put(simd, register, c);
        to_d.put(simd, register, d);
    }
}

/// Two neighbouring cells of a row.
#[inline(always)]
fn pair(row: &[Cell], column: usize) -> Option<&[Cell; PAIR]> {
    row.get(column..)?.first_chunk()
}

/// See [`pair`].
#[inline(always)]
fn pair_mut(row: &mut [Cell], column: usize) -> Option<&mut [Cell; PAIR]> {
    row.get_mut(column..)?.first_chunk_mut()
}

/// Takes what a finished row foretells off the next.
#[inline(always)]
fn take_off<S: Simd>(simd: S, register: usize, from: usize, row: &[Cell], next: &mut [Cell]) {
    let Some(by) = row.get(from).map(|cell| cell.part(simd, register)) else {
        return;
    };
    let cells = next.iter_mut().zip(row).skip(from);
    for (cell, of) in cells {
        let sum: Part<S> = cell.part(simd, register);
        let sum = sum.less(simd, by, of.part(simd, register));
        cell.put(simd, register, sum);
    }
}

/// Divides a row by its root; how unlikely its values are by what is foretold of them, `None` where they have no
/// power besides.
#[inline(always)]
fn finish<S: Simd>(
    simd: S,
    register: usize,
    (number, count): (usize, usize),
    row: &mut [Cell],
) -> Option<f64> {
    let lanes = |row: &[Cell], column: usize| -> (Lanes, Lanes) {
        row.get(column)
            .map_or_else(Default::default, |cell| (cell.re, cell.im))
    };
    let some = register * S::F32_LANES..(register + 1) * S::F32_LANES;
    let power = lanes(row, number).0;
    let power = power.get(some.clone())?;
    if power.iter().any(|power| power.is_nan() || *power <= 0.0) {
        return None;
    }
    // A few powers together, so that one logarithm serves them all.
    let logarithm = power.iter().map(|p| f64::from(*p)).product::<f64>().ln();
    let root = simd.sqrt_f32s(row.get(number)?.part(simd, register).0);
    let scale = simd.div_f32s(simd.splat_f32s(1.0), root);
    for cell in row.get_mut(number..)? {
        let part = cell.part(simd, register).times(simd, scale);
        cell.put(simd, register, part);
    }
    let (re, im) = lanes(row, count);
    let values = re.get(some.clone())?.iter().zip(im.get(some)?);
    let values: f32 = values.map(|(re, im)| re * re + im * im).sum();
    Some(logarithm + f64::from(values))
}

#[cfg(test)]
mod tests {
    use num_complex::Complex32;

    use super::*;
    use crate::signal::LANES;

    /// Some values and covariances of every band, given by number and band.
    fn matrix(
        count: usize,
        value: impl Fn(usize, usize) -> Complex32,
        covariance: impl Fn(usize, usize, usize) -> Complex32,
    ) -> Covariance {
        let mut values = vec![Cell::default(); count];
        for (k, cell) in values.iter_mut().enumerate() {
            (0..LANES).for_each(|lane| cell.set(lane, value(k, lane)));
        }
        let mut out = Covariance::new(&values);
        for early in 0..count {
            for (late, cell) in (early..).zip(out.row(early, early)) {
                (0..LANES).for_each(|lane| cell.set(lane, covariance(early, late, lane)));
            }
        }
        out
    }

    /// Against the determinant and the inverse of a matrix of two, written out.
    #[test]
    fn two_values_are_as_likely_as_the_formula_says() {
        let (a, d) = (2.0_f32, 3.0_f32);
        let c = |lane: usize| Complex32::new(0.5, 0.1 * lane as f32 - 1.0);
        let [y, z] = [Complex32::new(1.0, 2.0), Complex32::new(-0.5, 0.25)];
        let mut covariance = matrix(
            2,
            |k, _| [y, z][k],
            |early, late, lane| match (early, late) {
                (0, 0) => a.into(),
                (0, 1) => c(lane).conj(),
                _ => d.into(),
            },
        );
        let found = likelihood(&mut covariance);
        let want = |lane: usize| {
            let determinant = a * d - c(lane).norm_sqr();
            let cross = 2.0 * (z.conj() * c(lane) * y).re;
            let power = (d * y.norm_sqr() + a * z.norm_sqr() - cross) / determinant;
            f64::from(-determinant.ln() - power)
        };
        let want: f64 = (0..LANES).map(want).sum();
        assert!((found - want).abs() < 1e-4, "{found} {want}");
    }

    /// Noise whose neighbours are alike by ρ (a Gauss-Markov process) has an inverse and a determinant that
    /// can be written out: each value is foretold by the one before alone.
    #[test]
    fn many_values_are_as_likely_as_each_after_the_one_before() {
        let along = |k: usize, lane: usize| {
            Complex32::from_polar(0.9_f32.powi(k as i32), (0.1 * lane as f32 - 0.4) * k as f32)
        };
        let value =
            |k: usize, _: usize| Complex32::new((1.7 * k as f32).sin(), (2.3 * k as f32).cos());
        for count in [1, 3, 4, 7, 8, 15, 16, 50] {
            let mut covariance =
                matrix(count, value, |early, late, lane| along(late - early, lane));
            let found = likelihood(&mut covariance);
            let want = |lane: usize| {
                let step = along(1, lane);
                let unforetold = 1.0 - step.norm_sqr();
                let first = value(0, lane).norm_sqr();
                let rest: f32 = (1..count)
                    .map(|k| {
                        let away = value(k, lane) - step.conj() * value(k - 1, lane);
                        away.norm_sqr() / unforetold + unforetold.ln()
                    })
                    .sum();
                f64::from(-first - rest)
            };
            let want: f64 = (0..LANES).map(want).sum();
            assert!((found / want - 1.0).abs() < 1e-4, "{count}: {found} {want}");
        }
    }

    #[test]
    fn what_is_no_covariance_is_not_likely() {
        let found = likelihood(&mut Covariance::new(&[Cell::default()]));
        assert!(found < -1e30);
    }
}
