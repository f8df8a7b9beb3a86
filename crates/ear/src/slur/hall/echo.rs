//! How the echo of a tone adds to covariances, by what has come of it and what is lost of it again.
//!
//! Reflections reach two moments both when they had come by the early one and are not lost by the late one:
//! what a tone that sounds on leaves, less what is lost of that when it ends. So the first may be added once
//! for all changes that are tried, and each of the two only where it is not nothing.

use pulp::{Arch, Simd, WithSimd};

use crate::slur::hall::process::{Cell, Covariance, Lanes, lanes, registers};

impl Covariance {
    /// Adds `power` times the echo of a tone that turns so and sounds on: `begun` is the share of it that has
    /// come by each value (see [`super::Field::covariance`]); nothing has before value `from`.
    pub(super) fn add_begun(&mut self, power: &Lanes, turns: &[Cell], begun: &[f32], from: usize) {
        Arch::new().dispatch(Begun {
            to: self,
            power,
            turns,
            begun,
            from,
        });
    }

    /// Takes off what such a tone's echo lacks when the tone has ended: `ended` is the share that is lost by
    /// each value, none before value `from`.
    pub(super) fn take_ended(
        &mut self,
        power: &Lanes,
        turns: &[Cell],
        (begun, ended): (&[f32], &[f32]),
        from: usize,
    ) {
        Arch::new().dispatch(Ended {
            to: self,
            power,
            turns,
            begun,
            ended,
            from,
        });
    }
}

/// See [`Covariance::add_begun`].
struct Begun<'a> {
    to: &'a mut Covariance,
    power: &'a Lanes,
    turns: &'a [Cell],
    begun: &'a [f32],
    from: usize,
}

impl WithSimd for Begun<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        for register in 0..registers::<S>() {
            let power = lanes(simd, self.power, register);
            let rows = self.turns.iter().zip(self.begun).enumerate();
            for (row, (early, begun)) in rows.skip(self.from) {
                let power = simd.mul_f32s(power, simd.splat_f32s(*begun));
                let early = early.part(simd, register).times(simd, power);
                let late = self.turns.get(row..).unwrap_or(&[]);
                for (cell, late) in self.to.row(row, row).iter_mut().zip(late) {
                    let sum = cell.part(simd, register);
                    let sum = sum.plus(simd, early, late.part(simd, register));
                    cell.put(simd, register, sum);
                }
            }
        }
    }
}

/// See [`Covariance::take_ended`].
struct Ended<'a> {
    to: &'a mut Covariance,
    power: &'a Lanes,
    turns: &'a [Cell],
    begun: &'a [f32],
    ended: &'a [f32],
    from: usize,
}

impl WithSimd for Ended<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        for register in 0..registers::<S>() {
            let power = simd.neg_f32s(lanes(simd, self.power, register));
            for (row, (early, begun)) in self.turns.iter().zip(self.begun).enumerate() {
                let early = early.part(simd, register).times(simd, power);
                let from = row.max(self.from);
                let late = self.turns.get(from..).unwrap_or(&[]);
                let late = late.iter().zip(self.ended.get(from..).unwrap_or(&[]));
                for (cell, (late, ended)) in self.to.row(row, from).iter_mut().zip(late) {
                    // No more is lost than has come.
                    let early = early.times(simd, simd.splat_f32s(ended.min(*begun)));
                    let sum = cell.part(simd, register);
                    let sum = sum.plus(simd, early, late.part(simd, register));
                    cell.put(simd, register, sum);
                }
            }
        }
    }
}
