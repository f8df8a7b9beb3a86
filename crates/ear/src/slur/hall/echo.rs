//! How the echo of a tone adds to a covariance, by what has come of it and what is lost of it again.
//!
//! Reflections reach two moments both when they had come by the early one and are not lost by the late one:
//! what a tone that sounds on leaves, less what is lost of that when it ends. So the first may be added once
//! for all changes that are tried, and each of the two only where it is not nothing.

use std::iter::repeat;

use pulp::{Arch, Simd, WithSimd};

use crate::slur::hall::process::{Covariance, Row, add_products, first_of};

impl Covariance {
    /// Adds `power` times the echo of a tone that turns so and sounds on: `begun` is the share of it that has
    /// come by each value (see [`super::Field::covariance`]), `filled` up as a row is; nothing has before
    /// value `from`.
    pub(super) fn add_begun(&mut self, power: f32, turns: &Row, begun: &[f32], from: usize) {
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
        power: f32,
        turns: &Row,
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
    power: f32,
    turns: &'a Row,
    begun: &'a [f32],
    from: usize,
}

impl WithSimd for Begun<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let rows = self.begun.iter().enumerate().take(self.to.count);
        for (row, begun) in rows.skip(self.from) {
            let alike = repeat(simd.splat_f32s(self.power * begun));
            let (early, late) = (self.turns.at(row), self.turns.from(first_of(row)));
            add_products(simd, self.to.row(row, row), early, late, alike);
        }
    }
}

/// See [`Covariance::take_ended`].
struct Ended<'a> {
    to: &'a mut Covariance,
    power: f32,
    turns: &'a Row,
    begun: &'a [f32],
    ended: &'a [f32],
    from: usize,
}

impl WithSimd for Ended<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let power = simd.splat_f32s(-self.power);
        for (row, begun) in self.begun.iter().enumerate().take(self.to.count) {
            let from = row.max(self.from);
            let begun = simd.splat_f32s(*begun);
            let ended = self.ended.get(first_of(from)..).unwrap_or(&[]);
            // No more is lost than has come.
            let alike = S::as_simd_f32s(ended)
                .0
                .iter()
                .map(|ended| simd.mul_f32s(power, simd.min_f32s(*ended, begun)));
            let (early, late) = (self.turns.at(row), self.turns.from(first_of(from)));
            add_products(simd, self.to.row(row, from), early, late, alike);
        }
    }
}
