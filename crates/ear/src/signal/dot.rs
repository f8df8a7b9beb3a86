//! The dot product that the kernels are made of, and loops compiled for the machine at hand.

use pulp::{Arch, NullaryFnOnce};

/// Values that a vector register is taken to hold.
pub const LANES: usize = 8;

/// Runs a loop in the version compiled for the widest vectors that this machine has.
#[inline]
pub fn wide<F: NullaryFnOnce>(work: F) -> F::Output {
    Arch::new().dispatch(work)
}

/// Dot product of two stretches, over as many values as the shorter has. Summed in eight lanes,
/// so that it runs on whole vector registers.
#[must_use]
#[inline(always)]
pub fn dot(a: &[f32], b: &[f32]) -> f32 {
    let mut lanes = [0.0_f32; LANES];
    let length = a.len().min(b.len());
    let (a, b) = (
        a.get(..length).unwrap_or(&[]),
        b.get(..length).unwrap_or(&[]),
    );
    let (a8, b8) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f32 = a8
        .remainder()
        .iter()
        .zip(b8.remainder())
        .map(|(x, y)| x * y)
        .sum();
    for (x, y) in a8.zip(b8) {
        for ((lane, x), y) in lanes.iter_mut().zip(x).zip(y) {
            *lane += x * y;
        }
    }
    lanes.iter().sum::<f32>() + rest
}

/// Sum of squares. Added up in double precision every few hundred samples.
#[must_use]
pub fn energy(sound: &[f32]) -> f64 {
    wide(Energy(sound))
}

/// The squares of a stretch.
struct Energy<'a>(&'a [f32]);

impl NullaryFnOnce for Energy<'_> {
    type Output = f64;

    #[inline(always)]
    fn call(self) -> f64 {
        let pieces = self.0.chunks(256);
        pieces.map(|piece| f64::from(dot(piece, piece))).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_what_both_have() {
        let a: Vec<f32> = (0..19).map(|x| x as f32).collect();
        let ones = [1.0_f32; 30];
        assert_eq!(dot(&a, &ones), 171.0);
        assert_eq!(dot(&ones, &a[..3]), 3.0);
        assert_eq!(dot(&[], &ones), 0.0);
    }

    #[test]
    fn the_energy_of_a_tone_is_half_its_length() {
        let tone: Vec<f32> = (0..4_410).map(|n| (n as f32 * 0.3).sin()).collect();
        assert!((energy(&tone) - 2_205.0).abs() < 2.0);
    }
}
