//! The spectrum of every short piece of a scene, so that turning it against any curve of pitch is a
//! look-up instead of a sum over samples.
//!
//! A piece of some 2.5 ms is short enough for a pitch to stand still in it: a glide of an octave in
//! 15 ms turns a harmonic at 2 kHz by 0.7 radian more at the ends of a piece than a steady one, which
//! costs 2 % of its power. Its spectrum, referred to the piece's middle, is so smooth that a straight line
//! between transform bins of a fifth of its own width (43 Hz) is exact to 0.5 % of its power.

use num_complex::{Complex32, Complex64};

use crate::signal::Transform;
use crate::slur::row::Row;

/// Longest piece, seconds.
const PIECE_S: f64 = 0.0026;
/// Widest step between transform bins, hertz.
const STEP_HZ: f64 = 48.0;

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
    pub(super) fn new(sound: &[f32], rate: f64, block: usize, pieces: usize, top_hz: f64) -> Self {
        let piece = (block / pieces.max(1)).max(1);
        let size = ((rate / STEP_HZ) as usize).max(piece).next_power_of_two();
        let step_hz = rate / size as f64;
        let bins = ((top_hz / step_hz) as usize + 2).min(size / 2 + 1);
        let middle = (piece as f64 - 1.0) / 2.0;
        let mut transform = Transform::new(size);
        // Refers a bin to the middle of the piece instead of to its first sample.
        let centred: Vec<Complex32> = (0..bins)
            .map(|k| {
                let turn = Complex64::cis(std::f64::consts::TAU * k as f64 * middle / size as f64);
                Complex32::new(turn.re as f32, turn.im as f32)
            })
            .collect();
        let mut values = Vec::with_capacity(bins * (sound.len() / piece));
        for samples in sound.chunks_exact(piece) {
            // The piece and silence after it.
            transform.look(samples, (size / 2) as isize);
            let bins = centred.iter().enumerate();
            values.extend(bins.map(|(k, turn)| transform.bin(k) * turn));
        }
        let middles = (0..pieces).map(|p| ((p * piece) as f64 + middle) / block as f64);
        Self {
            pieces,
            seconds: block as f64 / rate,
            middles: middles.collect(),
            step_hz,
            bins,
            values,
        }
    }

    /// Block `index` turned against a pitch that goes evenly from one frequency to another: one
    /// complex sum for each of the first `count` harmonics, `offset` added to its number. `start` says how
    /// far the fundamental has turned before the block, in turns. What lies above the spectra's top is 0.
    #[inline(always)]
    pub(super) fn row(
        &self,
        index: usize,
        (from_hz, to_hz): (f64, f64),
        offset: f64,
        start: f64,
        count: usize,
    ) -> Row {
        let mut row = Row::EMPTY;
        let spectra = self.values.chunks_exact(self.bins.max(1));
        let spectra = spectra.skip(index * self.pieces);
        let bend = to_hz - from_hz;
        // A bending pitch is ahead of a steady one at both ends of a piece: by so much on the mean.
        let ahead = bend * self.seconds / (24.0 * (self.pieces * self.pieces) as f64);
        for (spectrum, middle) in spectra.zip(&self.middles) {
            let hz = from_hz + bend * middle;
            let turns = start + ahead + self.seconds * middle * (from_hz + 0.5 * bend * middle);
            let each = cis(turns);
            let first = if offset == 0.0 {
                each
            } else {
                cis(turns * (1.0 + offset))
            };
            let step = (hz / self.step_hz) as f32;
            let mut place = step * (1.0 + offset as f32);
            let mut seen = Row::EMPTY;
            for (re, im) in seen.re.iter_mut().zip(&mut seen.im).take(count) {
                let (bin, share) = (place as usize, place.fract());
                if let Some([a, b]) = spectrum.get(bin..bin + 2) {
                    *re = a.re + (b.re - a.re) * share;
                    *im = a.im + (b.im - a.im) * share;
                }
                place += step;
            }
            row.add(&seen.turned(&Row::powers(first, each)), 1.0);
        }
        row
    }
}

/// The phasor that takes back so many turns.
#[inline(always)]
pub(super) fn cis(turns: f64) -> Complex32 {
    // Whole turns are taken off in double precision; what is left is exact enough in single.
    Complex32::cis(-std::f32::consts::TAU * turns.fract() as f32)
}

#[cfg(test)]
mod tests {
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
        let spectra = Spectra::new(&sound, RATE, block, pieces, 6_000.0);
        let whole = turned(&sound, 440.0, 500.0, 3.0).norm();
        for (from, to, offset) in [
            (440.0, 500.0, 0.0),
            (450.0, 450.0, 0.0),
            (440.0, 440.0, 0.5),
        ] {
            let row = spectra.row(0, (from, to), offset, 0.0, 5);
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
    fn what_lies_above_the_top_is_nothing() {
        let spectra = Spectra::new(&[1.0; 110], RATE, 110, 2, 1_000.0);
        let row = spectra.row(0, (900.0, 900.0), 0.0, 0.0, 3);
        assert!(row.re[0] != 0.0 && row.power()[1..].iter().all(|p| *p == 0.0));
        assert_eq!(spectra.row(7, (900.0, 900.0), 0.0, 0.0, 3), Row::EMPTY);
    }
}
