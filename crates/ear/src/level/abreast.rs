//! Both weightings of a sound, each over four quarters of it at once: a filter waits for its own last sample,
//! so that eight in two vector registers take no longer than one.

use pulp::NullaryFnOnce;

use super::{Biquad, Weighting};
use crate::signal::wide;

/// Parts of the sound that are filtered side by side.
const PARTS: usize = 4;

/// A value for each filter: the first weighting of every part, then the second.
type Each = [f64; 2 * PARTS];

/// The filter of a later part begins this long before it, seconds: what it would still hold of the
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
        let each = pieces.div_ceil(PARTS) * self.piece;
        // Of every part its samples, and those before it from the latest on.
        let bounds = |part: usize| (part * each).min(self.sound.len());
        let part = |part: usize| {
            self.sound
                .get(bounds(part)..bounds(part + 1))
                .unwrap_or(&[])
        };
        let parts: [&[f32]; PARTS] = std::array::from_fn(part);
        for back in (1..=self.before).rev() {
            let mut x = [0.0; PARTS];
            for (part, x) in x.iter_mut().enumerate() {
                let at = bounds(part).checked_sub(back).filter(|_| part > 0);
                *x = at
                    .and_then(|at| self.sound.get(at))
                    .map_or(0.0, |x| f64::from(*x));
            }
            filters.next(both(x));
        }
        let mut found: [Vec<f64>; 2 * PARTS] = std::array::from_fn(|_| Vec::new());
        for from in (0..each).step_by(self.piece) {
            let mut sums = [0.0; 2 * PARTS];
            let piece = parts.map(|part| {
                let to = (from + self.piece).min(part.len());
                part.get(from..to).unwrap_or(&[])
            });
            let shortest = piece.iter().map(|piece| piece.len()).min().unwrap_or(0);
            let longest = piece.iter().map(|piece| piece.len()).max().unwrap_or(0);
            let [a, b, c, d] = piece.map(|piece| piece.get(..shortest).unwrap_or(&[]));
            for (((a, b), c), d) in a.iter().zip(b).zip(c).zip(d) {
                let x = [f64::from(*a), f64::from(*b), f64::from(*c), f64::from(*d)];
                let y = filters.next(both(x));
                sums = plus(sums, times(y, y));
            }
            // The last part ends first; what a filter gives after its part does not count.
            for at in shortest..longest {
                let there = piece.map(|piece| piece.get(at));
                let x = there.map(|x| x.map_or(0.0, |x| f64::from(*x)));
                let counts = both(there.map(|x| f64::from(u8::from(x.is_some()))));
                let y = filters.next(both(x));
                sums = plus(sums, times(counts, times(y, y)));
            }
            for (found, sum) in found.iter_mut().zip(sums) {
                found.push(sum);
            }
        }
        [0, PARTS].map(|first| {
            let mut sum = 0.0;
            let of_parts = found.iter().skip(first).take(PARTS);
            let on = of_parts.flatten().take(pieces).map(|piece| {
                sum += piece;
                sum
            });
            std::iter::once(0.0).chain(on).collect()
        })
    }
}

/// The same for both weightings.
#[inline(always)]
fn both([a, b, c, d]: [f64; PARTS]) -> Each {
    [a, b, c, d, a, b, c, d]
}

/// The filters, section by section.
#[derive(Clone, Copy, Debug)]
struct Filters([Sections; 3]);

/// A section of each, in transposed direct form II.
#[derive(Clone, Copy, Debug)]
struct Sections {
    b: [Each; 3],
    a: [Each; 2],
    state: [Each; 2],
}

impl Filters {
    /// At rest.
    fn new([first, second]: [&Weighting; 2]) -> Self {
        let pair = |i: usize| Sections::new(&first.sections[i], &second.sections[i]);
        Self([pair(0), pair(1), pair(2)])
    }

    #[inline(always)]
    fn next(&mut self, x: Each) -> Each {
        let mut x = x;
        for section in &mut self.0 {
            x = section.next(x);
        }
        x
    }
}

impl Sections {
    fn new(first: &Biquad, second: &Biquad) -> Self {
        let each = |a: f64, b: f64| [a, a, a, a, b, b, b, b];
        Self {
            b: [0, 1, 2].map(|i| each(first.b[i], second.b[i])),
            a: [0, 1].map(|i| each(first.a[i], second.a[i])),
            state: [[0.0; 2 * PARTS]; 2],
        }
    }

    #[inline(always)]
    fn next(&mut self, x: Each) -> Each {
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
fn plus(mut a: Each, b: Each) -> Each {
    for (a, b) in a.iter_mut().zip(b) {
        *a += b;
    }
    a
}

#[inline(always)]
fn minus(mut a: Each, b: Each) -> Each {
    for (a, b) in a.iter_mut().zip(b) {
        *a -= b;
    }
    a
}

#[inline(always)]
fn times(mut a: Each, b: Each) -> Each {
    for (a, b) in a.iter_mut().zip(b) {
        *a *= b;
    }
    a
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
