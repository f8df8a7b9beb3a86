//! The weighted level of any stretch of a take, from sums made once.

use super::Weighting;
use crate::Samples;

/// Length of the pieces that are summed, seconds: stretches are rounded to it.
const PIECE_S: f64 = 0.001;
/// BS.1770-4, annex 1, equation (2): loudness is this plus ten times the logarithm of the power.
const LKFS_OFFSET_DB: f64 = -0.691;

/// Weighted power of a take, summed up piece by piece.
#[derive(Clone, Debug)]
pub struct Weighted {
    rate: f64,
    piece: usize,
    /// Sum of squares up to each piece.
    sums: Vec<f64>,
    offset_db: f64,
}

impl Weighted {
    /// With the K weighting; levels are in LKFS (momentary, ungated).
    #[must_use]
    pub fn k(samples: &Samples) -> Self {
        Self::new(samples, Weighting::k(samples.rate), LKFS_OFFSET_DB)
    }

    /// With the A weighting; levels are in dB against a full-scale square wave.
    #[must_use]
    pub fn a(samples: &Samples) -> Self {
        Self::new(samples, Weighting::a(samples.rate), 0.0)
    }

    fn new(samples: &Samples, mut weighting: Weighting, offset_db: f64) -> Self {
        let piece = ((PIECE_S * samples.rate) as usize).max(1);
        let mut sum = 0.0;
        let mut sums = Vec::with_capacity(samples.data.len() / piece + 2);
        sums.push(0.0);
        for piece in samples.data.chunks(piece) {
            for x in piece {
                sum += weighting.next(f64::from(*x)).powi(2);
            }
            sums.push(sum);
        }
        Self {
            rate: samples.rate,
            piece,
            sums,
            offset_db,
        }
    }

    /// Mean level from one time to another, dB; `None` for an empty stretch.
    #[must_use]
    pub fn level_db(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let place = |s: f64| {
            let at = (s * self.rate / self.piece as f64).round();
            (at.max(0.0) as usize).min(self.sums.len().saturating_sub(1))
        };
        let (from, to) = (place(from_s), place(to_s));
        let power = (self.sums.get(to)? - self.sums.get(from)?)
            / (to.checked_sub(from)?.max(1) * self.piece) as f64;
        (to > from).then(|| self.offset_db + 10.0 * power.max(1e-20).log10())
    }

    /// Levels of successive stretches of `step_s`, dB.
    pub fn levels(&self, from_s: f64, to_s: f64, step_s: f64) -> impl Iterator<Item = f64> + '_ {
        let count = ((to_s - from_s) / step_s).floor().max(0.0) as usize;
        (0..count).filter_map(move |i| {
            let at = from_s + i as f64 * step_s;
            self.level_db(at, at + step_s)
        })
    }
}
