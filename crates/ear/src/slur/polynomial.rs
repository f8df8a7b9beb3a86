//! Polynomials of a fixed length, so that the loops round them keep their vector registers.

use std::ops::{Add, Mul};

/// The sum of coefficients, lowest first, times powers of `x` (Horner's rule).
#[inline(always)]
pub(super) fn polynomial<T, const N: usize>(coefficients: &[T; N], x: T) -> T
where
    T: Copy + Default + Add<Output = T> + Mul<Output = T>,
{
    let mut sum = T::default();
    for c in coefficients.iter().rev() {
        sum = sum * x + *c;
    }
    sum
}
