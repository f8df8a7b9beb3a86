//! Two weightings of the same sound, run abreast: a filter waits for its own last sample, so that two
//! in the halves of a vector register take no longer than one.

use super::{Biquad, Weighting};

/// A value for each of the two.
pub(super) type Both = [f64; 2];

/// Both weightings' filters, section by section.
#[derive(Clone, Copy, Debug)]
pub(super) struct Abreast {
    sections: [Sections; 3],
}

/// A section of each, in transposed direct form II.
#[derive(Clone, Copy, Debug)]
struct Sections {
    b: [Both; 3],
    a: [Both; 2],
    state: [Both; 2],
}

impl Abreast {
    /// Of two weightings at rest.
    pub(super) fn new(first: &Weighting, second: &Weighting) -> Self {
        let pair = |i: usize| Sections::new(&first.sections[i], &second.sections[i]);
        Self {
            sections: [pair(0), pair(1), pair(2)],
        }
    }

    /// The next sample through each.
    #[inline]
    pub(super) fn next(&mut self, x: f64) -> Both {
        let sections = self.sections.iter_mut();
        sections.fold([x, x], |x, section| section.next(x))
    }
}

impl Sections {
    fn new(first: &Biquad, second: &Biquad) -> Self {
        Self {
            b: [0, 1, 2].map(|i| [first.b[i], second.b[i]]),
            a: [0, 1].map(|i| [first.a[i], second.a[i]]),
            state: [[0.0; 2]; 2],
        }
    }

    #[inline]
    fn next(&mut self, x: Both) -> Both {
        let [b0, b1, b2] = self.b;
        let [a1, a2] = self.a;
        let [s1, s2] = self.state;
        let y = [0, 1].map(|i| b0[i] * x[i] + s1[i]);
        self.state = [
            // What waits for the last sample comes last.
            [0, 1].map(|i| (b1[i] * x[i] + s2[i]) - a1[i] * y[i]),
            [0, 1].map(|i| b2[i] * x[i] - a2[i] * y[i]),
        ];
        y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_weighted_as_alone() {
        let (mut k, mut a) = (Weighting::k(44_100.0), Weighting::a(44_100.0));
        let mut both = Abreast::new(&k, &a);
        for n in 0..5_000 {
            let x = (f64::from(n) * 0.07).sin();
            let [of_k, of_a] = both.next(x);
            assert!((of_k - k.next(x)).abs() < 1e-9);
            assert!((of_a - a.next(x)).abs() < 1e-9);
        }
    }
}
