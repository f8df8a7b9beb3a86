//! The weighted level of any stretch of a take, from sums made once.

use super::{Weighting, abreast};
use crate::Samples;

/// Length of the pieces that are summed, seconds: stretches are rounded to it.
const PIECE_S: f64 = 0.001;
/// Length of the stretches that the quietest are looked for among, seconds.
const QUIET_S: f64 = 0.05;
/// BS.1770-4, annex 1, equation (2): loudness is this plus ten times the logarithm of the power.
const LKFS_OFFSET_DB: f64 = -0.691;

/// Samples of a piece.
fn piece(rate: f64) -> usize {
    ((PIECE_S * rate) as usize).max(1)
}

/// Weighted power of a take, summed up piece by piece.
#[derive(Clone, Debug)]
pub struct Weighted {
    rate: f64,
    piece: usize,
    /// Sum of squares up to each piece.
    sums: Vec<f64>,
    offset_db: f64,
    quietest: f64,
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

    /// With the K and with the A weighting.
    #[must_use]
    pub fn both(samples: &Samples) -> (Self, Self) {
        let (k, a) = (Weighting::k(samples.rate), Weighting::a(samples.rate));
        let piece = piece(samples.rate);
        let [of_k, of_a] = abreast::sums(&samples.data, samples.rate, piece, [&k, &a]);
        (
            Self::summed(samples.rate, of_k, LKFS_OFFSET_DB),
            Self::summed(samples.rate, of_a, 0.0),
        )
    }

    fn new(samples: &Samples, mut weighting: Weighting, offset_db: f64) -> Self {
        let mut sum = 0.0;
        let mut sums = vec![0.0];
        for piece in samples.data.chunks(piece(samples.rate)) {
            for x in piece {
                sum += weighting.next(f64::from(*x)).powi(2);
            }
            sums.push(sum);
        }
        Self::summed(samples.rate, sums, offset_db)
    }

    fn summed(rate: f64, sums: Vec<f64>, offset_db: f64) -> Self {
        let mut whole = Self {
            rate,
            piece: piece(rate),
            sums,
            offset_db,
            quietest: 0.0,
        };
        whole.quietest = whole.quiet();
        whole
    }

    /// Power of the quiet twentieth of the take's `QUIET_S` stretches: the noise, or what the
    /// room has left where it is never still.
    #[must_use]
    pub fn quietest(&self) -> f64 {
        self.quietest
    }

    fn quiet(&self) -> f64 {
        let seconds = self.sums.len() as f64 * self.piece as f64 / self.rate.max(1.0);
        let count = (seconds / QUIET_S) as usize;
        let mut powers: Vec<f64> = (0..count)
            .filter_map(|i| self.power(i as f64 * QUIET_S, (i + 1) as f64 * QUIET_S))
            .collect();
        powers.sort_by(f64::total_cmp);
        powers.get(powers.len() / 20).copied().unwrap_or(0.0)
    }

    /// Mean weighted power from one time to another, full scale 1; `None` for an empty stretch.
    #[must_use]
    pub fn power(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let place = |s: f64| {
            let at = (s * self.rate / self.piece as f64).round();
            (at.max(0.0) as usize).min(self.sums.len().saturating_sub(1))
        };
        let (from, to) = (place(from_s), place(to_s));
        let sum = self.sums.get(to)? - self.sums.get(from)?;
        (to > from).then(|| sum / ((to - from) * self.piece) as f64)
    }

    /// Mean level from one time to another, dB; `None` for an empty stretch.
    #[must_use]
    pub fn level_db(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let power = self.power(from_s, to_s)?;
        Some(self.offset_db + 10.0 * power.max(1e-20).log10())
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
