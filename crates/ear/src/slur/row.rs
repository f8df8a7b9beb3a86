//! One block's harmonics, laid out so that loops over them fill whole vector registers.

use num_complex::Complex32;

use crate::signal::LANES;

/// Most harmonics that are looked at.
pub(super) const HARMONICS: usize = 20;
/// Places of a row: the harmonics and zeros up to whole registers.
pub(super) const PLACES: usize = HARMONICS.next_multiple_of(LANES);

/// A value for each harmonic.
pub(super) type Each = [f32; PLACES];

/// A phasor for each harmonic; those that are not looked at are 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Row {
    pub(super) re: Each,
    pub(super) im: Each,
}

impl Row {
    /// A row of nothing.
    pub(super) const EMPTY: Self = Self {
        re: [0.0; PLACES],
        im: [0.0; PLACES],
    };

    /// `first`, `first by`, `first by by` and on. What is there is turned on by as many as there are, so
    /// that few products wait for each other.
    #[inline(always)]
    pub(super) fn powers(first: Complex32, by: Complex32) -> Self {
        let by_2 = by * by;
        let by_4 = by_2 * by_2;
        let by_8 = by_4 * by_4;
        let (two, three, four) = (first * by, first * by_2, first * by * by_2);
        let start = [first, two, three, four];
        let (mut re, mut im) = ([0.0; LANES], [0.0; LANES]);
        for (n, z) in start.into_iter().enumerate() {
            let further = z * by_4;
            (re[n], im[n], re[n + 4], im[n + 4]) = (z.re, z.im, further.re, further.im);
        }
        let mut out = Self::EMPTY;
        let registers = out.re.chunks_exact_mut(LANES);
        for (to_re, to_im) in registers.zip(out.im.chunks_exact_mut(LANES)) {
            to_re.copy_from_slice(&re);
            to_im.copy_from_slice(&im);
            for (re, im) in re.iter_mut().zip(&mut im) {
                (*re, *im) = (*re * by_8.re - *im * by_8.im, *re * by_8.im + *im * by_8.re);
            }
        }
        out
    }

    /// Each harmonic turned by another row's.
    #[inline(always)]
    pub(super) fn turned(&self, by: &Self) -> Self {
        let mut out = *self;
        let by = by.re.iter().zip(&by.im);
        for ((re, im), (by_re, by_im)) in out.re.iter_mut().zip(&mut out.im).zip(by) {
            (*re, *im) = (*re * by_re - *im * by_im, *re * by_im + *im * by_re);
        }
        out
    }

    /// Adds another row, each harmonic turned by a third's.
    #[inline(always)]
    pub(super) fn add_turned(&mut self, other: &Self, by: &Self) {
        let other = other.re.iter().zip(&other.im);
        let by = by.re.iter().zip(&by.im);
        let sums = self.re.iter_mut().zip(&mut self.im);
        for (((sum_re, sum_im), (re, im)), (by_re, by_im)) in sums.zip(other).zip(by) {
            *sum_re += re * by_re - im * by_im;
            *sum_im += re * by_im + im * by_re;
        }
    }

    /// Adds another row, weighed.
    #[inline(always)]
    pub(super) fn add(&mut self, other: &Self, weight: f32) {
        for (re, more) in self.re.iter_mut().zip(&other.re) {
            *re += weight * more;
        }
        for (im, more) in self.im.iter_mut().zip(&other.im) {
            *im += weight * more;
        }
    }

    /// Amplitude of each harmonic.
    #[inline(always)]
    pub(super) fn amplitude(&self) -> Each {
        let mut out = self.power();
        out.iter_mut().for_each(|p| *p = p.sqrt());
        out
    }

    /// Power of each harmonic.
    #[inline(always)]
    pub(super) fn power(&self) -> Each {
        let mut out = [0.0; PLACES];
        for ((out, re), im) in out.iter_mut().zip(&self.re).zip(&self.im) {
            *out = re * re + im * im;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_are_those_of_the_number_and_turn_what_they_are_given() {
        let by = Complex32::cis(0.7);
        let powers = Row::powers(by, by);
        for (n, (re, im)) in powers.re.iter().zip(&powers.im).enumerate() {
            let want = by.powi(n as i32 + 1);
            assert!((Complex32::new(*re, *im) - want).norm() < 1e-5);
        }
        let back = Row::powers(by.conj(), by.conj());
        let one = powers.turned(&back);
        assert!(one.re.iter().all(|re| (re - 1.0).abs() < 1e-5));
        let mut sum = Row::EMPTY;
        sum.add(&one, 2.0);
        assert!(sum.power().iter().all(|p| (p - 4.0).abs() < 1e-4));
    }
}
