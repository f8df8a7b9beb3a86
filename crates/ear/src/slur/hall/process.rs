//! The covariance of a stretch of complex samples, as sounds and echoes add to it.
//!
//! Everything is kept in whole vector registers (of [`LANES`] values, or of a part of that): rows are filled up
//! with zeros, and a loop over a row's upper triangle begins with the register that the diagonal lies in. What
//! that leaves left of the diagonal is never read.

use num_complex::{Complex32, Complex64};
use pulp::{Arch, Simd, WithSimd};

use crate::signal::LANES;

/// Rows that the factorization works on together.
pub(super) const TOGETHER: usize = 4;

/// Length of a row for so many values: a place more for the values themselves, see [`Covariance`].
fn padded(count: usize) -> usize {
    (count + 1).next_multiple_of(LANES)
}

/// Where the register begins that the diagonal of a row lies in.
pub(super) fn first_of(row: usize) -> usize {
    row - row % LANES
}

/// Some numbers, filled up with zeros to the length of a row for `count` values.
pub(super) fn filled(numbers: impl IntoIterator<Item = f32>, count: usize) -> Vec<f32> {
    let mut out: Vec<f32> = numbers.into_iter().take(count).collect();
    out.resize(padded(count), 0.0);
    out
}

/// Complex values, real and imaginary parts apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    pub(super) re: Vec<f32>,
    pub(super) im: Vec<f32>,
}

impl Row {
    /// So many zeros.
    pub(super) fn nothing(length: usize) -> Self {
        Self {
            re: vec![0.0; length],
            im: vec![0.0; length],
        }
    }

    /// The first `count` of some values; zeros where there are fewer.
    pub(super) fn of(values: impl IntoIterator<Item = Complex32>, count: usize) -> Self {
        let (mut re, mut im): (Vec<f32>, Vec<f32>) =
            values.into_iter().take(count).map(|z| (z.re, z.im)).unzip();
        re.resize(padded(count), 0.0);
        im.resize(padded(count), 0.0);
        Self { re, im }
    }

    /// Sets a value that there is room for.
    pub(super) fn set(&mut self, place: usize, z: Complex64) {
        if let Some((re, im)) = self.re.get_mut(place).zip(self.im.get_mut(place)) {
            (*re, *im) = (z.re as f32, z.im as f32);
        }
    }

    /// The value at a place, parts apart.
    #[inline(always)]
    pub(super) fn at(&self, place: usize) -> (f32, f32) {
        let found = self.re.get(place).zip(self.im.get(place));
        found.map_or((0.0, 0.0), |(re, im)| (*re, *im))
    }

    /// The values from a place on, parts apart.
    #[inline(always)]
    pub(super) fn from(&self, place: usize) -> (&[f32], &[f32]) {
        let found = self.re.get(place..).zip(self.im.get(place..));
        found.unwrap_or_default()
    }
}

/// How alike a sound is to itself, by the steps between.
#[derive(Clone, Debug)]
pub(super) struct Alike(Vec<f32>);

impl Alike {
    /// What `by_steps` says, for `count` values.
    pub(super) fn new(count: usize, by_steps: impl Fn(usize) -> f32) -> Self {
        // A row's first register may begin some values left of the diagonal.
        let before = std::iter::repeat_n(0.0, LANES);
        Self(before.chain((0..padded(count)).map(by_steps)).collect())
    }

    /// From the first register of a row on.
    fn from(&self, row: usize) -> &[f32] {
        self.0.get(LANES - row % LANES..).unwrap_or(&[])
    }
}

/// A Hermitian matrix by its upper triangle, row by row, real and imaginary parts apart. Behind the last
/// column stand the values whose covariance it is, which the factorization carries along.
#[derive(Clone, Debug, Default)]
pub(super) struct Covariance {
    pub(super) count: usize,
    pub(super) stride: usize,
    pub(super) re: Vec<f32>,
    pub(super) im: Vec<f32>,
}

impl Covariance {
    /// No covariance yet, of these values.
    pub(super) fn new(values: &[Complex32]) -> Self {
        let count = values.len();
        let stride = padded(count);
        let size = stride * count.next_multiple_of(TOGETHER);
        let mut out = Self {
            count,
            stride,
            re: vec![0.0; size],
            im: vec![0.0; size],
        };
        for (z, row) in values.iter().zip(0..) {
            out.add(row, count, *z);
        }
        out
    }

    /// Adds to the covariance of an early value and a late one.
    pub(super) fn add(&mut self, early: usize, late: usize, by: Complex32) {
        let place = early * self.stride + late;
        if let Some((re, im)) = self.re.get_mut(place).zip(self.im.get_mut(place)) {
            *re += by.re;
            *im += by.im;
        }
    }

    /// A row from the register on that a column lies in.
    #[inline(always)]
    pub(super) fn row(&mut self, row: usize, column: usize) -> (&mut [f32], &mut [f32]) {
        let (from, to) = (
            row * self.stride + first_of(column),
            (row + 1) * self.stride,
        );
        let found = self.re.get_mut(from..to).zip(self.im.get_mut(from..to));
        found.unwrap_or_default()
    }

    /// Becomes another of the same size; only what is read is copied.
    pub(super) fn copy(&mut self, other: &Self) {
        if self.re.len() != other.re.len() {
            self.clone_from(other);
            return;
        }
        for row in 0..self.count {
            let (from, to) = (row * self.stride + first_of(row), (row + 1) * self.stride);
            for (to_part, of_part) in [(&mut self.re, &other.re), (&mut self.im, &other.im)] {
                if let Some((to_row, of_row)) = to_part.get_mut(from..to).zip(of_part.get(from..to))
                {
                    to_row.copy_from_slice(of_row);
                }
            }
        }
    }

    /// Adds a sound of these values that is so alike from step to step.
    pub(super) fn add_alike(&mut self, values: &Row, alike: &Alike) {
        Arch::new().dispatch(Direct {
            to: self,
            values,
            alike,
        });
    }
}

/// Adds to a row the early value times the conjugates of the late ones, times how alike they are.
#[inline(always)]
pub(super) fn add_products<S: Simd>(
    simd: S,
    (to_re, to_im): (&mut [f32], &mut [f32]),
    (early_re, early_im): (f32, f32),
    (late_re, late_im): (&[f32], &[f32]),
    alike: impl Iterator<Item = S::f32s>,
) {
    let (early_re, early_im) = (simd.splat_f32s(early_re), simd.splat_f32s(early_im));
    let to = S::as_mut_simd_f32s(to_re)
        .0
        .iter_mut()
        .zip(S::as_mut_simd_f32s(to_im).0);
    let late = S::as_simd_f32s(late_re)
        .0
        .iter()
        .zip(S::as_simd_f32s(late_im).0);
    for (((to_re, to_im), (re, im)), alike) in to.zip(late).zip(alike) {
        let same = simd.mul_add_e_f32s(early_re, *re, simd.mul_f32s(early_im, *im));
        let across = simd.mul_f32s(early_re, *im);
        let across = simd.sub_f32s(simd.mul_f32s(early_im, *re), across);
        *to_re = simd.mul_add_e_f32s(alike, same, *to_re);
        *to_im = simd.mul_add_e_f32s(alike, across, *to_im);
    }
}

struct Direct<'a> {
    to: &'a mut Covariance,
    values: &'a Row,
    alike: &'a Alike,
}

impl WithSimd for Direct<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        for row in 0..self.to.count {
            let early = self.values.at(row);
            if early == (0.0, 0.0) {
                continue;
            }
            let late = self.values.from(first_of(row));
            let alike = S::as_simd_f32s(self.alike.from(row)).0.iter().copied();
            add_products(simd, self.to.row(row, row), early, late, alike);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slur::hall::Field;
    use crate::slur::hall::field::first_after;

    fn at(matrix: &Covariance, early: usize, late: usize) -> Complex32 {
        let place = early * matrix.stride + late;
        Complex32::new(matrix.re[place], matrix.im[place])
    }

    /// Against the formulas, value by value.
    #[test]
    fn sounds_and_echoes_add_what_the_formulas_say() {
        let field = Field {
            share: 1.5,
            rt60_s: 0.8,
        };
        let sounded = (0.03, 0.11);
        for count in [1, 7, 8, 21] {
            let times: Vec<f64> = (0..count).map(|k| 0.008 * k as f64).collect();
            let turn = |k: usize| Complex32::cis(0.7 * k as f32);
            let turns = Row::of((0..count).map(turn), count);
            let alike = |steps: usize| (-0.1 * steps as f32).exp();
            let values: Vec<Complex32> = (0..count).map(|k| turn(k * k)).collect();
            let mut matrix = Covariance::new(&values);
            let gone = |from: f64| field.sooner_at(&times, from);
            let (begun, ended) = (gone(sounded.0), gone(sounded.1));
            matrix.add_begun(1.5, &turns, &begun, first_after(&times, sounded.0));
            let last = first_after(&times, sounded.1);
            matrix.take_ended(1.5, &turns, (&begun, &ended), last);
            matrix.add_alike(&turns, &Alike::new(count, alike));
            for early in 0..count {
                for late in early..count {
                    let echo = field.covariance(sounded, times[early], times[late]) as f32;
                    let turned = turn(early) * turn(late).conj();
                    let want = turned * (echo + alike(late - early));
                    let found = at(&matrix, early, late);
                    assert!(
                        (found - want).norm() < 1e-5,
                        "{early} {late}: {found} {want}"
                    );
                }
                // The values behind the last column are left as they are.
                assert_eq!(at(&matrix, early, count), values[early]);
            }
        }
    }
}
