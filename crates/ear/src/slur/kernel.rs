//! The transform of a piece of sound that is far shorter than the transform is fine: made by its sums, for a
//! fast transform would spend its time on the silence after the piece.
//!
//! Referred to the piece's middle, samples at equal distance before and after it come in as their sum times a
//! cosine and their difference times a sine, so that half as many products are needed.

use std::sync::Arc;

use num_complex::Complex32;
use pulp::NullaryFnOnce;

use crate::signal::wide;

/// Widest step between bins, hertz.
const STEP_HZ: f64 = 48.0;
/// Highest frequency that is ever looked up, hertz: what lies beside the topmost harmonic of the highest
/// pitch too.
const TOP_HZ: f64 = 7_200.0;
/// Bins that are summed up together.
const TILE: usize = 32;

/// Cosines or sines of neighbouring bins.
type Tile = [f32; TILE];

/// The sums for pieces of one length.
#[derive(Debug)]
pub(super) struct Kernel {
    piece: usize,
    step_hz: f64,
    bins: usize,
    /// Cosines and sines of each tile, for each distance from the middle.
    tiles: Vec<Vec<(Tile, Tile)>>,
}

/// The kernels that a take has needed so far.
#[derive(Debug, Default)]
pub(super) struct Kernels {
    made: Vec<(f64, Arc<Kernel>)>,
}

impl Kernels {
    /// The kernel for pieces of so many samples.
    pub(super) fn of(&mut self, rate: f64, piece: usize) -> Arc<Kernel> {
        let made = self.made.iter();
        let mut made = made.filter(|(of, kernel)| *of == rate && kernel.piece == piece);
        if let Some((_, kernel)) = made.next() {
            return Arc::clone(kernel);
        }
        let kernel = Arc::new(Kernel::new(rate, piece));
        self.made.push((rate, Arc::clone(&kernel)));
        kernel
    }
}

impl Kernel {
    fn new(rate: f64, piece: usize) -> Self {
        let size = ((rate / STEP_HZ) as usize).max(piece).next_power_of_two();
        let step_hz = rate / size as f64;
        let bins = ((TOP_HZ / step_hz) as usize + 2).min(size / 2 + 1);
        // Twice the distance from the middle is a whole number of samples.
        let twice = |fold: usize| 2 * fold + 1 - piece % 2;
        let turn = |bin: usize, fold: usize| {
            let turns = (bin * twice(fold)) as f64 / (2 * size) as f64;
            (std::f64::consts::TAU * turns).sin_cos()
        };
        let tile = |first: usize| {
            let of_fold = |fold: usize| {
                let each = |lane: usize| turn(first + lane, fold);
                (
                    std::array::from_fn(|lane| each(lane).1 as f32),
                    std::array::from_fn(|lane| each(lane).0 as f32),
                )
            };
            (0..piece.div_ceil(2)).map(of_fold).collect()
        };
        Self {
            piece,
            step_hz,
            bins,
            tiles: (0..bins).step_by(TILE).map(tile).collect(),
        }
    }

    /// Hertz from bin to bin.
    pub(super) fn step_hz(&self) -> f64 {
        self.step_hz
    }

    /// How many bins there are.
    pub(super) fn bins(&self) -> usize {
        self.bins
    }

    /// Appends the first so many bins of a piece.
    pub(super) fn look(&self, samples: &[f32], bins: usize, out: &mut Vec<Complex32>) {
        wide(Look {
            kernel: self,
            samples,
            bins,
            out,
        });
    }
}

struct Look<'a> {
    kernel: &'a Kernel,
    samples: &'a [f32],
    bins: usize,
    out: &'a mut Vec<Complex32>,
}

impl NullaryFnOnce for Look<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { kernel, out, .. } = self;
        let half = kernel.piece / 2;
        // From the middle outwards; the middle of an odd number is its own mirror.
        let (before, after) = self.samples.split_at(half.min(self.samples.len()));
        let alone = after.get(..kernel.piece % 2).unwrap_or(&[]);
        let after = after.get(kernel.piece % 2..).unwrap_or(&[]);
        let pairs = before.iter().rev().zip(after);
        let pairs = pairs.map(|(before, after)| (after + before, after - before));
        let alone = alone.iter().map(|x| (*x, 0.0));
        for (tile, first) in kernel.tiles.iter().zip((0..self.bins).step_by(TILE)) {
            let (mut re, mut im) = ([0.0; TILE], [0.0; TILE]);
            for ((sum, difference), (cos, sin)) in alone.clone().chain(pairs.clone()).zip(tile) {
                for (re, cos) in re.iter_mut().zip(cos) {
                    *re += sum * cos;
                }
                for (im, sin) in im.iter_mut().zip(sin) {
                    *im -= difference * sin;
                }
            }
            let parts = re.iter().zip(&im).take(self.bins - first);
            out.extend(parts.map(|(re, im)| Complex32::new(*re, *im)));
        }
    }
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::*;

    #[test]
    fn bins_are_the_sums_that_define_them() {
        for piece in [47, 55, 56] {
            let samples: Vec<f32> = (0..piece).map(|n| ((n * n) as f32 * 0.37).sin()).collect();
            let kernel = Kernels::default().of(22_050.0, piece);
            let mut bins = Vec::new();
            kernel.look(&samples, 100, &mut bins);
            assert_eq!(bins.len(), 100);
            for (k, bin) in bins.iter().enumerate() {
                let each = samples.iter().enumerate().map(|(n, x)| {
                    let from_middle = n as f64 - (piece as f64 - 1.0) / 2.0;
                    let turns = k as f64 * kernel.step_hz() * from_middle / 22_050.0;
                    Complex64::cis(-std::f64::consts::TAU * turns) * f64::from(*x)
                });
                let want: Complex64 = each.sum();
                let got = Complex64::new(f64::from(bin.re), f64::from(bin.im));
                assert!((got - want).norm() < 1e-5, "{piece} {k}: {got} {want}");
            }
        }
    }
}
