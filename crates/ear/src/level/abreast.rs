//! Both weightings of a sound, each over two halves of it at once: a filter waits for its own last sample,
//! so that four in a vector register take no longer than one.

use pulp::NullaryFnOnce;

use super::{Biquad, Weighting};
use crate::signal::wide;

/// A value for each filter: the first and the second weighting of the first half, then of the second.
type Four = [f64; 4];

/// The filter of the second half begins this long before it, seconds: what it would still hold of the
/// sound before that has died by 200 dB (the slowest poles lie at 20.6 Hz).
const BEFORE_S: f64 = 0.2;

/// Weighted squares of a sound summed up by pieces: before the first, before the second and on, for
/// each weighting.
pub(super) fn sums(
    sound: &[f32],
    rate: f64,
    piece: usize,
    weightings: [&Weighting; 2],
) -> [Vec<f64>; 2] {
    wide(Sums {
        sound,
        piece: piece.max(1),
        before: (BEFORE_S * rate) as usize,
        filters: Filters::new(weightings),
    })
}

struct Sums<'a> {
    sound: &'a [f32],
    piece: usize,
    before: usize,
    filters: Filters,
}

impl NullaryFnOnce for Sums<'_> {
    type Output = [Vec<f64>; 2];

    #[inline(always)]
    fn call(self) -> Self::Output {
        let mut filters = self.filters;
        let pieces = self.sound.len().div_ceil(self.piece);
        let half = (pieces.div_ceil(2) * self.piece).min(self.sound.len());
        let (early, late) = self.sound.split_at(half);
        for x in early.get(half.saturating_sub(self.before)..).unwrap_or(&[]) {
            let x = f64::from(*x);
            filters.next([0.0, 0.0, x, x]);
        }
        let mut found = [const { Vec::new() }; 4];
        let mut late = late.chunks(self.piece);
        for early in early.chunks(self.piece) {
            let late = late.next().unwrap_or(&[]);
            let mut sums = [0.0; 4];
            for (x, z) in early.iter().zip(late) {
                let (x, z) = (f64::from(*x), f64::from(*z));
                let y = filters.next([x, x, z, z]);
                sums = plus(sums, times(y, y));
            }
            // The second half ends first.
            for x in early.get(late.len()..).unwrap_or(&[]) {
                let x = f64::from(*x);
                let [y, z, ..] = filters.next([x, x, 0.0, 0.0]);
                sums = plus(sums, [y * y, z * z, 0.0, 0.0]);
            }
            for (found, sum) in found.iter_mut().zip(sums) {
                found.push(sum);
            }
        }
        let [first, second, first_late, second_late] = found;
        let summed = |early: Vec<f64>, late: Vec<f64>| {
            let mut sum = 0.0;
            let pieces = early.into_iter().chain(late).take(pieces);
            let on = pieces.map(|piece| {
                sum += piece;
                sum
            });
            std::iter::once(0.0).chain(on).collect()
        };
        [summed(first, first_late), summed(second, second_late)]
    }
}

/// The filters, section by section.
#[derive(Clone, Copy, Debug)]
struct Filters([Sections; 3]);

/// A section of each, in transposed direct form II.
#[derive(Clone, Copy, Debug)]
struct Sections {
    b: [Four; 3],
    a: [Four; 2],
    state: [Four; 2],
}

impl Filters {
    /// At rest.
    fn new([first, second]: [&Weighting; 2]) -> Self {
        let pair = |i: usize| Sections::new(&first.sections[i], &second.sections[i]);
        Self([pair(0), pair(1), pair(2)])
    }

    #[inline(always)]
    fn next(&mut self, x: Four) -> Four {
        let mut x = x;
        for section in &mut self.0 {
            x = section.next(x);
        }
        x
    }
}

impl Sections {
    fn new(first: &Biquad, second: &Biquad) -> Self {
        let four = |a: f64, b: f64| [a, b, a, b];
        Self {
            b: [0, 1, 2].map(|i| four(first.b[i], second.b[i])),
            a: [0, 1].map(|i| four(first.a[i], second.a[i])),
            state: [[0.0; 4]; 2],
        }
    }

    #[inline(always)]
    fn next(&mut self, x: Four) -> Four {
        let [b0, b1, b2] = self.b;
        let [a1, a2] = self.a;
        let [s1, s2] = self.state;
        let y = plus(times(b0, x), s1);
        // What waits for the last sample comes last.
        self.state = [
            minus(plus(times(b1, x), s2), times(a1, y)),
            minus(times(b2, x), times(a2, y)),
        ];
        y
    }
}

#[inline(always)]
fn plus(a: Four, b: Four) -> Four {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]]
}

#[inline(always)]
fn minus(a: Four, b: Four) -> Four {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2], a[3] - b[3]]
}

#[inline(always)]
fn times(a: Four, b: Four) -> Four {
    [a[0] * b[0], a[1] * b[1], a[2] * b[2], a[3] * b[3]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_weighted_as_alone() {
        let (rate, piece) = (44_100.0, 44);
        for length in [0, 1, 43, 44, 45, 100, 20_000, 60_011] {
            let tone = |n: usize| (n as f32 * 0.003).sin() + 0.2 * (n as f32 * 0.9).sin();
            let sound: Vec<f32> = (0..length).map(tone).collect();
            let weightings = [Weighting::k(rate), Weighting::a(rate)];
            let found = sums(&sound, rate, piece, [&weightings[0], &weightings[1]]);
            for (found, mut alone) in found.into_iter().zip(weightings) {
                let mut sum = 0.0;
                let mut want = vec![0.0];
                for piece in sound.chunks(piece) {
                    sum += piece
                        .iter()
                        .map(|x| alone.next((*x).into()).powi(2))
                        .sum::<f64>();
                    want.push(sum);
                }
                assert_eq!(found.len(), want.len());
                let off = found.iter().zip(&want).map(|(a, b)| (a - b).abs());
                assert!(off.fold(0.0, f64::max) < 1e-9 * (1.0 + sum), "{length}");
            }
        }
    }
}
