//! The covariances of stretches of complex samples, as sounds and echoes add to them.
//!
//! As many bands as a vector register has lanes are kept together, one in each: they are seen at the same moments, and
//! every step is the same for all, so that none ever waits for a sum across a register.

use num_complex::Complex32;
use pulp::{Arch, Simd, WithSimd};

use crate::signal::LANES;

/// A number for each of the bands that are kept together.
pub(super) type Lanes = [f32; LANES];

/// A complex number for each band.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Cell {
    pub(super) re: Lanes,
    pub(super) im: Lanes,
}

impl Cell {
    /// Sets the number of one band.
    pub(super) fn set(&mut self, lane: usize, z: Complex32) {
        if let Some((re, im)) = self.re.get_mut(lane).zip(self.im.get_mut(lane)) {
            (*re, *im) = (z.re, z.im);
        }
    }

    /// Of some lanes that fill a register.
    #[inline(always)]
    pub(super) fn part<S: Simd>(&self, simd: S, register: usize) -> Part<S> {
        Part(
            lanes(simd, &self.re, register),
            lanes(simd, &self.im, register),
        )
    }

    /// Sets the same.
    #[inline(always)]
    pub(super) fn put<S: Simd>(&mut self, _simd: S, register: usize, Part(re, im): Part<S>) {
        if let Some(slot) = S::as_mut_simd_f32s(&mut self.re).0.get_mut(register) {
            *slot = re;
        }
        if let Some(slot) = S::as_mut_simd_f32s(&mut self.im).0.get_mut(register) {
            *slot = im;
        }
    }
}

/// The lanes that fill a register.
#[inline(always)]
pub(super) fn lanes<S: Simd>(simd: S, of: &Lanes, register: usize) -> S::f32s {
    let found = S::as_simd_f32s(of).0.get(register).copied();
    found.unwrap_or(simd.splat_f32s(0.0))
}

/// How many registers hold all lanes.
#[inline(always)]
pub(super) fn registers<S: Simd>() -> usize {
    LANES / S::F32_LANES.clamp(1, LANES)
}

/// Complex numbers that fill a register.
#[derive(Clone, Copy)]
pub(super) struct Part<S: Simd>(pub(super) S::f32s, pub(super) S::f32s);

impl<S: Simd> Part<S> {
    /// Times real numbers.
    #[inline(always)]
    pub(super) fn times(self, simd: S, by: S::f32s) -> Self {
        Self(simd.mul_f32s(self.0, by), simd.mul_f32s(self.1, by))
    }

    /// More by the product of `a` and the conjugate of `b`.
    #[inline(always)]
    pub(super) fn plus(self, simd: S, a: Self, b: Self) -> Self {
        let re = simd.mul_add_e_f32s(a.0, b.0, self.0);
        let im = simd.mul_add_e_f32s(a.1, b.0, self.1);
        Self(
            simd.mul_add_e_f32s(a.1, b.1, re),
            simd.negate_mul_add_e_f32s(a.0, b.1, im),
        )
    }

    /// Less by the product of the conjugate of `a` and `b`.
    #[inline(always)]
    pub(super) fn less(self, simd: S, a: Self, b: Self) -> Self {
        let re = simd.negate_mul_add_e_f32s(a.0, b.0, self.0);
        let im = simd.negate_mul_add_e_f32s(a.0, b.1, self.1);
        Self(
            simd.negate_mul_add_e_f32s(a.1, b.1, re),
            simd.mul_add_e_f32s(a.1, b.0, im),
        )
    }
}

/// Hermitian matrices by their upper triangles, row by row. Behind the last column stand the values whose
/// covariance they are, which the factorization carries along. There is a column more, and rows are filled up to an
/// even number.
#[derive(Clone, Debug, Default)]
pub(super) struct Covariance {
    pub(super) count: usize,
    pub(super) stride: usize,
    pub(super) cells: Vec<Cell>,
}

impl Covariance {
    /// No covariance yet, of these values.
    pub(super) fn new(values: &[Cell]) -> Self {
        let count = values.len();
        // Odd, so that cells one below the other lie in different lines of the nearest cache.
        let stride = (count + 2) | 1;
        let mut out = Self {
            count,
            stride,
            cells: vec![Cell::default(); stride * count.next_multiple_of(2)],
        };
        for (value, row) in values.iter().zip(0..) {
            if let Some(cell) = out.cells.get_mut(row * stride + count) {
                *cell = *value;
            }
        }
        out
    }

    /// From a row's value on a column to its last.
    #[inline(always)]
    pub(super) fn row(&mut self, row: usize, column: usize) -> &mut [Cell] {
        let (from, to) = (row * self.stride + column, row * self.stride + self.count);
        self.cells.get_mut(from..to).unwrap_or(&mut [])
    }

    /// Adds noise that is so alike by steps.
    pub(super) fn add_noise(&mut self, alike: &[Lanes]) {
        for row in 0..self.count {
            for (cell, level) in self.row(row, row).iter_mut().zip(alike) {
                for (re, level) in cell.re.iter_mut().zip(level) {
                    *re += level;
                }
            }
        }
    }

    /// Becomes another; only what is read is copied when they are of one size.
    pub(super) fn copy(&mut self, other: &Self) {
        if self.count != other.count || self.cells.len() != other.cells.len() {
            self.clone_from(other);
            return;
        }
        for row in 0..self.count {
            let (from, to) = (row * self.stride + row, (row + 1) * self.stride);
            if let Some((to_row, of_row)) =
                self.cells.get_mut(from..to).zip(other.cells.get(from..to))
            {
                to_row.copy_from_slice(of_row);
            }
        }
    }

    /// Adds a sound of these values that is so alike from step to step.
    pub(super) fn add_alike(&mut self, values: &[Cell], alike: &[f32]) {
        Arch::new().dispatch(Direct {
            to: self,
            values,
            alike,
        });
    }
}

struct Direct<'a> {
    to: &'a mut Covariance,
    values: &'a [Cell],
    alike: &'a [f32],
}

impl WithSimd for Direct<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        for register in 0..registers::<S>() {
            for (row, early) in self.values.iter().enumerate() {
                let early = early.part(simd, register);
                let late = self.values.get(row..).unwrap_or(&[]).iter();
                let cells = self.to.row(row, row).iter_mut();
                for ((cell, late), alike) in cells.zip(late).zip(self.alike) {
                    let early = early.times(simd, simd.splat_f32s(*alike));
                    let sum = cell.part(simd, register);
                    let sum = sum.plus(simd, early, late.part(simd, register));
                    cell.put(simd, register, sum);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slur::hall::Field;
    use crate::slur::hall::field::first_after;

    /// Against the formulas, value by value, each band turning at its own pace.
    #[test]
    fn sounds_and_echoes_add_what_the_formulas_say() {
        let field = Field {
            share: 1.5,
            rt60_s: 0.8,
        };
        let sounded = (0.03, 0.11);
        for count in [1, 7, 8, 21] {
            let times: Vec<f64> = (0..count).map(|k| 0.008 * k as f64).collect();
            let turn = |k: usize, lane: usize| Complex32::cis((0.5 + 0.1 * lane as f32) * k as f32);
            let turns: Vec<Cell> = (0..count)
                .map(|k| {
                    let mut cell = Cell::default();
                    (0..LANES).for_each(|lane| cell.set(lane, turn(k, lane)));
                    cell
                })
                .collect();
            let alike = |steps: usize| (-0.1 * steps as f32).exp();
            let power: Lanes = std::array::from_fn(|lane| 1.0 + lane as f32);
            let mut matrix = Covariance::new(&turns);
            let gone = |from: f64| field.sooner_at(&times, from);
            let (begun, ended) = (gone(sounded.0), gone(sounded.1));
            matrix.add_begun(&power, &turns, &begun, first_after(&times, sounded.0));
            let last = first_after(&times, sounded.1);
            matrix.take_ended(&power, &turns, (&begun, &ended), last);
            let all: Vec<f32> = (0..count).map(alike).collect();
            matrix.add_alike(&turns, &all);
            for (lane, power) in power.iter().enumerate() {
                let at = |early: usize, late: usize| {
                    let cell = &matrix.cells[early * matrix.stride + late];
                    Complex32::new(cell.re[lane], cell.im[lane])
                };
                for early in 0..count {
                    for late in early..count {
                        let echo = field.covariance(sounded, times[early], times[late]);
                        // The field's share is in the powers.
                        let echo = power * (echo / field.share) as f32;
                        let turned = turn(early, lane) * turn(late, lane).conj();
                        let want = turned * (echo + alike(late - early));
                        let found = at(early, late);
                        assert!(
                            (found - want).norm() < 2e-5,
                            "{early} {late}: {found} {want}"
                        );
                    }
                    // The values behind the last column are left as they are.
                    assert_eq!(at(early, count), turn(early, lane));
                }
            }
        }
    }
}
