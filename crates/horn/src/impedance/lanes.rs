//! Eight numbers side by side, so that one pass through the bore serves eight frequencies.
//!
//! Plain arithmetic on arrays; the compiler turns it into vector instructions of whatever width
//! the machine has (chosen at run time by `pulp`).

use std::ops::{Add, Mul, Sub};

/// Frequencies in one pass.
pub(super) const LANES: usize = 8;

/// Eight real numbers.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Real(pub(super) [f64; LANES]);

/// Eight complex numbers, real and imaginary parts apart.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Complex {
    pub(super) re: Real,
    pub(super) im: Real,
}

macro_rules! lanewise {
    ($op:ident, $method:ident, $sign:tt) => {
        impl $op for Real {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                let mut out = self.0;
                for (a, b) in out.iter_mut().zip(other.0) {
                    *a $sign b;
                }
                Self(out)
            }
        }
    };
}
lanewise!(Add, add, +=);
lanewise!(Sub, sub, -=);
lanewise!(Mul, mul, *=);

impl Mul<f64> for Real {
    type Output = Self;
    #[inline(always)]
    fn mul(self, by: f64) -> Self {
        self * Self::all(by)
    }
}

impl Real {
    /// The same number in every lane.
    #[inline(always)]
    pub(super) const fn all(value: f64) -> Self {
        Self([value; LANES])
    }

    /// One over each.
    #[inline(always)]
    pub(super) fn recip(self) -> Self {
        let mut out = self.0;
        for a in &mut out {
            *a = 1.0 / *a;
        }
        Self(out)
    }

    /// Largest of the eight.
    #[inline(always)]
    pub(super) fn max(self) -> f64 {
        self.0
            .iter()
            .fold(f64::NEG_INFINITY, |m, &a| if a > m { a } else { m })
    }
}

impl Add for Complex {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
}

impl Sub for Complex {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        Self {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
}

impl Mul for Complex {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
}

impl Mul<Real> for Complex {
    type Output = Self;
    #[inline(always)]
    fn mul(self, by: Real) -> Self {
        Self {
            re: self.re * by,
            im: self.im * by,
        }
    }
}

impl Mul<f64> for Complex {
    type Output = Self;
    #[inline(always)]
    fn mul(self, by: f64) -> Self {
        self * Real::all(by)
    }
}

impl Complex {
    /// A real number added.
    #[inline(always)]
    pub(super) fn plus(self, real: f64) -> Self {
        Self {
            re: self.re + Real::all(real),
            im: self.im,
        }
    }

    /// Times `j` times a real number.
    #[inline(always)]
    pub(super) fn times_j(self, by: Real) -> Self {
        Self {
            re: Real::default() - self.im * by,
            im: self.re * by,
        }
    }

    /// One over each.
    #[inline(always)]
    pub(super) fn recip(self) -> Self {
        let scale = self.norm_squared().recip();
        Self {
            re: self.re * scale,
            im: Real::default() - self.im * scale,
        }
    }

    /// Squared modulus.
    #[inline(always)]
    pub(super) fn norm_squared(self) -> Real {
        self.re * self.re + self.im * self.im
    }
}
