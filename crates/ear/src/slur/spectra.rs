//! The spectrum of every short piece of a scene, so that turning it against any curve of pitch is a
//! look-up instead of a sum over samples.
//!
//! A piece of some 2.5 ms is short enough for a pitch to stand still in it: a glide of an octave in
//! 15 ms turns a harmonic at 2 kHz by 0.7 radian more at the ends of a piece than a steady one, which
//! costs 2 % of its power. Its spectrum, referred to the piece's middle, is so smooth that a straight line
//! between transform bins of a fifth of its own width (43 Hz) is exact to 0.5 % of its power.

use std::sync::Arc;

use num_complex::Complex32;

use crate::slur::kernel::{Kernel, Kernels};
use crate::slur::row::{PLACES, Row};
use crate::slur::turn::cis;

/// Longest piece, seconds.
const PIECE_S: f64 = 0.0026;
/// Places between two bins that a look-up tells apart.
const FINE: f32 = 65_536.0;

/// The spectra of a scene's pieces; a block is a whole number of them.
#[derive(Debug)]
pub(super) struct Spectra {
    /// Pieces to a block.
    pieces: usize,
    /// Seconds of a block.
    seconds: f64,
    /// Place of each piece's middle in its block, as a share of it.
    middles: Vec<f64>,
    step_hz: f64,
    /// Bins kept of each piece.
    bins: usize,
    /// All pieces, one after the other.
    values: Vec<Complex32>,
}

/// A pitch that stands still, looked up once for all blocks.
#[derive(Debug)]
pub(super) struct Still {
    /// Place of each harmonic.
    places: Vec<Place>,
    /// What turns each piece of a block.
    turns: Vec<Row>,
}

/// Where a frequency lies: a bin and the share of the way to the next.
#[derive(Clone, Copy, Debug)]
struct Place(u32);

impl Place {
    fn new(bins: f32) -> Self {
        Self((bins * FINE) as u32)
    }

    /// What a spectrum has there; nothing above its top.
    #[inline(always)]
    fn of(self, spectrum: &[Complex32]) -> (f32, f32) {
        let bin = (self.0 >> 16) as usize;
        let share = (self.0 & 0xffff) as f32 * (1.0 / FINE);
        if let Some([a, b]) = spectrum.get(bin..bin + 2) {
            (a.re + (b.re - a.re) * share, a.im + (b.im - a.im) * share)
        } else {
            (0.0, 0.0)
        }
    }
}

/// Samples of a block of about so many seconds, whole pieces, and how many pieces it has.
#[must_use]
pub(super) fn block(seconds: f64, rate: f64) -> (usize, usize) {
    let pieces = (seconds / PIECE_S).ceil().max(1.0) as usize;
    let piece = (seconds * rate / pieces as f64).round().max(1.0) as usize;
    (pieces * piece, pieces)
}

impl Spectra {
    /// The spectra of `sound`, cut into blocks of `pieces` pieces, up to `top_hz`.
    #[must_use]
    pub(super) fn new(
        kernels: &mut Kernels,
        sound: &[f32],
        rate: f64,
        block: usize,
        pieces: usize,
        top_hz: f64,
    ) -> Self {
        let piece = (block / pieces.max(1)).max(1);
        let kernel: Arc<Kernel> = kernels.of(rate, piece);
        let bins = ((top_hz / kernel.step_hz()) as usize + 2).min(kernel.bins());
        let mut values = Vec::with_capacity(bins * (sound.len() / piece));
        for samples in sound.chunks_exact(piece) {
            kernel.look(samples, bins, &mut values);
        }
        let middle = (piece as f64 - 1.0) / 2.0;
        let middles = (0..pieces).map(|p| ((p * piece) as f64 + middle) / block as f64);
        Self {
            pieces,
            seconds: block as f64 / rate,
            middles: middles.collect(),
            step_hz: kernel.step_hz(),
            bins,
            values,
        }
    }

    /// The spectra of the pieces of block `index` and on.
    #[inline(always)]
    fn of_block(&self, index: usize) -> impl Iterator<Item = &[Complex32]> {
        let from = index * self.pieces * self.bins;
        let spectra = self.values.get(from..).unwrap_or(&[]);
        spectra.chunks_exact(self.bins.max(1))
    }

    /// A pitch that stands still: the first `count` harmonics, `offset` added to their numbers.
    #[must_use]
    pub(super) fn still(&self, hz: f64, offset: f64, count: usize) -> Still {
        let place = |n: usize| Place::new(((n as f64 + 1.0 + offset) * hz / self.step_hz) as f32);
        let turns = self.middles.iter().map(|middle| {
            let turns = self.seconds * middle * hz;
            Row::powers(cis(turns * (1.0 + offset)), cis(turns))
        });
        Still {
            places: (0..count.min(PLACES)).map(place).collect(),
            turns: turns.collect(),
        }
    }

    /// Block `index` turned against a pitch that stands still from the block's beginning on.
    #[inline(always)]
    pub(super) fn still_row(&self, index: usize, still: &Still) -> Row {
        let mut row = Row::EMPTY;
        for (spectrum, turns) in self.of_block(index).zip(&still.turns) {
            let mut seen = Row::EMPTY;
            let parts = seen.re.iter_mut().zip(&mut seen.im);
            for ((re, im), place) in parts.zip(&still.places) {
                (*re, *im) = place.of(spectrum);
            }
            row.add_turned(&seen, turns);
        }
        row
    }

    /// Block `index` turned against a pitch that goes evenly from one frequency to another: one
    /// complex sum for each of the first `count` harmonics. `start` says how far the fundamental has turned
    /// before the block, in turns. What lies above the spectra's top is 0.
    #[inline(always)]
    pub(super) fn row(
        &self,
        index: usize,
        (from_hz, to_hz): (f64, f64),
        start: f64,
        count: usize,
    ) -> Row {
        let mut row = Row::EMPTY;
        let bend = to_hz - from_hz;
        // A bending pitch is ahead of a steady one at both ends of a piece: by so much on the mean.
        let ahead = bend * self.seconds / (24.0 * (self.pieces * self.pieces) as f64);
        for (spectrum, middle) in self.of_block(index).zip(&self.middles) {
            let hz = from_hz + bend * middle;
            let turns = start + ahead + self.seconds * middle * (from_hz + 0.5 * bend * middle);
            let each = cis(turns);
            let step = Place::new((hz / self.step_hz) as f32).0;
            let mut place = step;
            let mut seen = Row::EMPTY;
            for (re, im) in seen.re.iter_mut().zip(&mut seen.im).take(count) {
                (*re, *im) = Place(place).of(spectrum);
                place = place.wrapping_add(step);
            }
            row.add_turned(&seen, &Row::powers(each, each));
        }
        row
    }
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::*;

    const RATE: f64 = 22_050.0;

    /// Turned sample by sample, as the definition says.
    fn turned(sound: &[f32], from: f64, to: f64, order: f64) -> Complex64 {
        let seconds = sound.len() as f64 / RATE;
        let each = sound.iter().enumerate().map(|(n, x)| {
            let s = n as f64 / RATE;
            let turns = s * (from + 0.5 * (to - from) * s / seconds);
            Complex64::cis(-std::f64::consts::TAU * order * turns) * f64::from(*x)
        });
        each.sum()
    }

    #[test]
    fn a_look_up_gives_what_turning_every_sample_gives() {
        let (block, pieces) = block(0.005, RATE);
        let sound: Vec<f32> = (0..block)
            .map(|n| {
                let s = n as f64 / RATE;
                let turns = s * (440.0 + 0.5 * 60.0 * s / 0.005);
                (std::f64::consts::TAU * 3.0 * turns + 0.4).cos() as f32
            })
            .collect();
        let spectra = Spectra::new(
            &mut Kernels::default(),
            &sound,
            RATE,
            block,
            pieces,
            6_000.0,
        );
        let whole = turned(&sound, 440.0, 500.0, 3.0).norm();
        for (from, to, offset) in [
            (440.0, 500.0, 0.0),
            (450.0, 450.0, 0.0),
            (440.0, 440.0, 0.5),
        ] {
            let row = if to > from {
                spectra.row(0, (from, to), 0.0, 5)
            } else {
                spectra.still_row(0, &spectra.still(from, offset, 5))
            };
            for (n, (re, im)) in row.re.iter().zip(&row.im).enumerate().take(5) {
                let want = turned(&sound, from, to, n as f64 + 1.0 + offset);
                let got = Complex64::new(f64::from(*re), f64::from(*im));
                // What follows the curve is exact; what crosses it bends the other way.
                let near = if n == 2 && to > from { 0.01 } else { 0.05 };
                assert!((got - want).norm() < near * whole, "{n}: {got} {want}");
            }
        }
    }

    #[test]
    fn a_pitch_that_stands_still_is_one_that_goes_nowhere() {
        let (block, pieces) = block(0.005, RATE);
        let sound: Vec<f32> = (0..2 * block).map(|n| (n as f32 * 0.2).sin()).collect();
        let kernels = &mut Kernels::default();
        let spectra = Spectra::new(kernels, &sound, RATE, block, pieces, 6_000.0);
        let (still, goes) = (
            spectra.still_row(1, &spectra.still(233.0, 0.0, 12)),
            spectra.row(1, (233.0, 233.0), 0.0, 12),
        );
        for (a, b) in still.re.iter().zip(&goes.re) {
            assert!((a - b).abs() < 1e-3, "{a} {b}");
        }
    }

    #[test]
    fn what_lies_above_the_top_is_nothing() {
        let kernels = &mut Kernels::default();
        let spectra = Spectra::new(kernels, &[1.0; 110], RATE, 110, 2, 1_000.0);
        let row = spectra.row(0, (900.0, 900.0), 0.0, 3);
        assert!(row.re[0] != 0.0 && row.power()[1..].iter().all(|p| *p == 0.0));
        assert_eq!(spectra.row(7, (900.0, 900.0), 0.0, 3), Row::EMPTY);
    }
}
