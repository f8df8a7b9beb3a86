//! The dot product that the kernels are made of, and loops compiled for the machine at hand.

use pulp::{Arch, NullaryFnOnce};

/// Values that a vector register is taken to hold.
pub const LANES: usize = 8;

/// Runs a loop in the version compiled for the widest vectors that this machine has.
#[inline]
pub fn wide<F: NullaryFnOnce>(work: F) -> F::Output {
    Arch::new().dispatch(work)
}

/// Adds the products of two stretches' whole registers to a register of sums.
#[inline(always)]
fn add_products(sums: &mut [f32; LANES], a: &[f32], b: &[f32]) {
    for (x, y) in a.chunks_exact(LANES).zip(b.chunks_exact(LANES)) {
        for ((sum, x), y) in sums.iter_mut().zip(x).zip(y) {
            *sum += x * y;
        }
    }
}

/// Dot product of two stretches, over as many values as the shorter has. Summed in four vector
/// registers, so that none waits for its own last sum.
#[must_use]
#[inline(always)]
pub fn dot(a: &[f32], b: &[f32]) -> f32 {
    const REGISTERS: usize = 4 * LANES;
    let mut sums = [0.0_f32; REGISTERS];
    let length = a.len().min(b.len());
    let (a, b) = (
        a.get(..length).unwrap_or(&[]),
        b.get(..length).unwrap_or(&[]),
    );
    let (long_a, long_b) = (a.chunks_exact(REGISTERS), b.chunks_exact(REGISTERS));
    let (rest_a, rest_b) = (long_a.remainder(), long_b.remainder());
    for (x, y) in long_a.zip(long_b) {
        for ((sum, x), y) in sums.iter_mut().zip(x).zip(y) {
            *sum += x * y;
        }
    }
    let mut lanes = [0.0_f32; LANES];
    for register in sums.chunks_exact(LANES) {
        for (lane, sum) in lanes.iter_mut().zip(register) {
            *lane += sum;
        }
    }
    add_products(&mut lanes, rest_a, rest_b);
    let last = rest_a.chunks_exact(LANES).remainder().iter();
    let last = last.zip(rest_b.chunks_exact(LANES).remainder());
    lanes.iter().sum::<f32>() + last.map(|(x, y)| x * y).sum::<f32>()
}

/// The greatest value. Looked for in lanes, so that none waits for the one before.
#[must_use]
pub fn most(values: &[f32]) -> f32 {
    let mut lanes = [f32::MIN; LANES];
    for some in values.chunks(LANES) {
        for (most, value) in lanes.iter_mut().zip(some) {
            *most = if value > most { *value } else { *most };
        }
    }
    lanes.into_iter().fold(f32::MIN, f32::max)
}

/// Sum of squares. Added up in double precision every few hundred samples.
#[must_use]
pub fn energy(sound: &[f32]) -> f64 {
    wide(Energy(sound))
}

/// Sum, in double precision and four parts.
#[must_use]
pub fn sum(sound: &[f32]) -> f64 {
    let mut parts = [0.0_f64; 4];
    let fours = sound.chunks_exact(4);
    let rest: f64 = fours.remainder().iter().map(|x| f64::from(*x)).sum();
    for four in fours {
        for (part, x) in parts.iter_mut().zip(four) {
            *part += f64::from(*x);
        }
    }
    parts.iter().sum::<f64>() + rest
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
        let a: Vec<f32> = (0..59).map(|x| x as f32).collect();
        let ones = [1.0_f32; 70];
        assert_eq!(dot(&a, &ones), 1_711.0);
        assert_eq!(dot(&ones, &a[..3]), 3.0);
        assert_eq!(dot(&[], &ones), 0.0);
    }

    #[test]
    fn the_energy_of_a_tone_is_half_its_length() {
        let tone: Vec<f32> = (0..4_410).map(|n| (n as f32 * 0.3).sin()).collect();
        assert!((energy(&tone) - 2_205.0).abs() < 2.0);
        assert_eq!(sum(&[1.0; 11]), 11.0);
        assert_eq!(most(&tone), tone.iter().copied().fold(0.0, f32::max));
    }
}
