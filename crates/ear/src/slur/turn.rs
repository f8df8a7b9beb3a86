//! Turning a block of sound against a pitch: one complex sum for each harmonic.

use num_complex::{Complex32, Complex64};
use pulp::NullaryFnOnce;

use crate::signal::{LANES, dot, wide};
use crate::slur::scene::Row;

/// Turns blocks; makes its buffers once. They are as long as a block, filled up with silence to
/// whole vector registers.
#[derive(Debug)]
pub struct Turner {
    sound: Vec<f32>,
    turn: Turns,
    power: Turns,
}

/// The turn at every sample of a block.
#[derive(Debug)]
struct Turns {
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Turner {
    /// For blocks of this many samples.
    #[must_use]
    pub fn new(block: usize) -> Self {
        let empty = || vec![0.0; block.next_multiple_of(LANES)];
        let turns = || Turns {
            re: empty(),
            im: empty(),
        };
        Self {
            sound: empty(),
            turn: turns(),
            power: turns(),
        }
    }

    /// The block turned against a pitch that goes evenly from one frequency to another (turns a
    /// sample), for each of `count` harmonics, `offset` added to its number; phase 0 at the start.
    pub fn row(
        &mut self,
        sound: &[f32],
        from: f64,
        to: f64,
        offset: f64,
        count: usize,
        row: &mut Row,
    ) {
        for (slot, x) in self.sound.iter_mut().zip(sound) {
            *slot = *x;
        }
        let first = -std::f64::consts::TAU * from;
        let bend = -std::f64::consts::TAU * (to - from) / sound.len().max(1) as f64;
        wide(Turn {
            by: self,
            first,
            bend,
            offset,
            rows: row.get_mut(..count).unwrap_or(&mut []),
        });
    }
}

/// One block's turning.
struct Turn<'a> {
    by: &'a mut Turner,
    /// Radians of the first sample, and by how much each further one turns more.
    first: f64,
    bend: f64,
    offset: f64,
    rows: &'a mut [Complex32],
}

impl NullaryFnOnce for Turn<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Turner { sound, turn, power } = self.by;
        turn.spin(self.first, self.bend);
        // The first harmonic's own turn (or the half one beside it), then one more for each.
        if self.offset == 0.0 {
            power.re.copy_from_slice(&turn.re);
            power.im.copy_from_slice(&turn.im);
        } else {
            power.spin(self.first * (1.0 + self.offset), 0.0);
        }
        for (n, slot) in self.rows.iter_mut().enumerate() {
            *slot = if n == 0 {
                Complex32::new(dot(sound, &power.re), dot(sound, &power.im))
            } else {
                power.further(turn, sound)
            };
        }
    }
}

impl Turns {
    /// Turns by `first` radians a sample, and by `bend` more from one sample to the next: eight
    /// samples side by side, each eight at a time further.
    #[inline(always)]
    fn spin(&mut self, first: f64, bend: f64) {
        let mut turn = Complex64::new(1.0, 0.0);
        let mut step = Complex64::cis(first + 0.5 * bend);
        let more = Complex64::cis(bend);
        let (mut re, mut im) = ([0.0_f32; LANES], [0.0_f32; LANES]);
        for (re, im) in re.iter_mut().zip(&mut im) {
            (*re, *im) = (turn.re as f32, turn.im as f32);
            turn *= step;
            step *= more;
        }
        // What eight samples turn by, from the first, the second ... on.
        let more_8 = more.powu(LANES as u32);
        let (mut by_re, mut by_im) = ([0.0_f32; LANES], [0.0_f32; LANES]);
        for (re, im) in by_re.iter_mut().zip(&mut by_im) {
            (*re, *im) = (turn.re as f32, turn.im as f32);
            turn *= more_8;
        }
        let more_64 = more_8.powu(LANES as u32);
        let (more_re, more_im) = (more_64.re as f32, more_64.im as f32);
        let places = self.re.chunks_exact_mut(LANES);
        for (to_re, to_im) in places.zip(self.im.chunks_exact_mut(LANES)) {
            to_re.copy_from_slice(&re);
            to_im.copy_from_slice(&im);
            for k in 0..LANES {
                (re[k], im[k]) = (
                    re[k] * by_re[k] - im[k] * by_im[k],
                    re[k] * by_im[k] + im[k] * by_re[k],
                );
                (by_re[k], by_im[k]) = (
                    by_re[k] * more_re - by_im[k] * more_im,
                    by_re[k] * more_im + by_im[k] * more_re,
                );
            }
        }
    }

    /// Turns further by `turn`, and sums the sound so turned.
    #[inline(always)]
    fn further(&mut self, turn: &Self, sound: &[f32]) -> Complex32 {
        let (mut sum_re, mut sum_im) = ([0.0_f32; LANES], [0.0_f32; LANES]);
        let own = self.re.chunks_exact_mut(LANES);
        let own = own.zip(self.im.chunks_exact_mut(LANES));
        let by = turn.re.chunks_exact(LANES);
        let by = by.zip(turn.im.chunks_exact(LANES));
        for (((re, im), (by_re, by_im)), sound) in own.zip(by).zip(sound.chunks_exact(LANES)) {
            for k in 0..LANES {
                let (a, b) = (re[k], im[k]);
                re[k] = a * by_re[k] - b * by_im[k];
                im[k] = a * by_im[k] + b * by_re[k];
                sum_re[k] += sound[k] * re[k];
                sum_im[k] += sound[k] * im[k];
            }
        }
        Complex32::new(sum_re.iter().sum(), sum_im.iter().sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bending_tone_turned_against_itself_stands_still() {
        let (block, from, to) = (110_usize, 0.021_f64, 0.027_f64);
        let phase =
            |n: f64| std::f64::consts::TAU * (from * n + (to - from) / block as f64 * n * n / 2.0);
        let sound: Vec<f32> = (0..block)
            .map(|n| (3.0 * phase(n as f64)).cos() as f32)
            .collect();
        let mut row = [Complex32::default(); crate::slur::scene::HARMONICS];
        Turner::new(block).row(&sound, from, to, 0.0, 5, &mut row);
        for (n, got) in row.iter().enumerate() {
            let want: Complex64 = (0..block)
                .map(|k| {
                    let turned = Complex64::cis(-(n as f64 + 1.0) * phase(k as f64));
                    turned * f64::from(sound[k])
                })
                .sum();
            let want = if n < 5 { want } else { Complex64::default() };
            assert!(
                (f64::from(got.re) - want.re).abs() < 2e-3,
                "{n} {got} {want}"
            );
            assert!(
                (f64::from(got.im) - want.im).abs() < 2e-3,
                "{n} {got} {want}"
            );
        }
    }
}
