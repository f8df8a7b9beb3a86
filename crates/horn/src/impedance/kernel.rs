//! The fast march from bell to lips: pressure and flow carried through every cone, eight
//! frequencies at a time, with the exact losses and no call to a transcendental function.
//!
//! Every entry of a cone's matrix is an entire function of `w = (Gamma L)^2`, so neither a root nor
//! `sinh` and `cosh` are needed: `w` is divided by a power of four until it is small, the Taylor
//! series are summed, and the doubling formulas lead back.

use std::f64::consts::PI;

use crate::air::Medium;
use crate::bore::Cone;

use super::lanes::{Complex, LANES, Real};
use super::losses::{ASYMPTOTIC_FROM, SERIES, TERMS, thermoviscous};

/// Terms of the Taylor series after the first; with |w| <= 0.5 the remainder is under 2e-16.
const TAYLOR: usize = 7;
/// Largest |w| at which the series are summed directly.
const SMALL: f64 = 0.5;
/// Where pressure and flow are scaled down so that a long, very lossy tube cannot overflow.
const LARGE: f64 = 1e200;

/// `1/(2k)!`, `1/(2k+1)!` and their difference moved down one place, highest power first.
const COSH: [f64; TAYLOR + 1] = inverse_factorials(0);
const SINHC: [f64; TAYLOR + 1] = inverse_factorials(1);

const fn inverse_factorials(odd: usize) -> [f64; TAYLOR + 1] {
    let mut out = [0.0; TAYLOR + 1];
    let (mut k, mut value) = (0, 1.0);
    while k <= TAYLOR {
        if k > 0 {
            value /= ((2 * k - 1 + odd) * (2 * k + odd)) as f64;
        }
        out[TAYLOR - k] = value;
        k += 1;
    }
    out
}

/// One cone, with all that does not depend on frequency worked out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// One over the radius of the boundary layer, and whether the step before had the same.
    inverse_radius: f64,
    same_radius: bool,
    /// `(L/c)^2`, `rho L / (pi r1 r2)`, `S1 L / (rho c^2)`.
    travel_squared: f64,
    mass: f64,
    compliance: f64,
    /// `r2/r1 - 1`.
    grow: f64,
}

/// Steps from the bell to the lips.
pub(super) fn plan(cones: &[Cone], air: &Medium) -> Vec<Step> {
    let mut before = f64::NAN;
    cones
        .iter()
        .rev()
        .map(|cone| {
            let inverse_radius = 1.0 / cone.loss_radius();
            let same_radius = inverse_radius == before;
            before = inverse_radius;
            let travel = cone.length / air.c;
            Step {
                inverse_radius,
                same_radius,
                travel_squared: travel * travel,
                mass: air.rho * cone.length / (PI * cone.r1 * cone.r2),
                compliance: PI * cone.r1 * cone.r1 * cone.length / (air.rho * air.c * air.c),
                grow: cone.r2 / cone.r1 - 1.0,
            }
        })
        .collect()
}

/// Pressure and flow at the lips, up to a common real factor, from those at the bell.
#[inline(always)]
pub(super) fn march(
    steps: &[Step],
    air: &Medium,
    omega: &[f64; LANES],
    end: (Complex, Complex),
) -> (Complex, Complex) {
    let mut inverse_stokes = [0.0; LANES];
    for (t, w) in inverse_stokes.iter_mut().zip(omega) {
        *t = (air.mu / (w * air.rho)).sqrt();
    }
    let inverse_stokes = Real(inverse_stokes);
    let omega = Real(*omega);
    let omega_squared = omega * omega;
    let (lowest, highest) = (inverse_stokes.max(), omega_squared.max());
    let thermal = 1.0 / air.prandtl.sqrt();
    let (mut p, mut u) = end;
    let (mut viscous_term, mut thermal_term) = (Complex::default(), Complex::default());

    for step in steps {
        let narrow = lowest * step.inverse_radius * thermal;
        if !step.same_radius {
            let t = inverse_stokes * step.inverse_radius;
            let (f_viscous, f_thermal) = if narrow * ASYMPTOTIC_FROM <= 1.0 {
                let terms = terms_for(narrow);
                (series(t, terms), series(t * thermal, terms))
            } else {
                (table(t), table(t * thermal))
            };
            viscous_term = (Complex::default() - f_viscous).plus(1.0).recip();
            thermal_term = (f_thermal * (air.gamma - 1.0)).plus(1.0);
        }
        let (e, y) = (viscous_term, thermal_term);
        let w = e * y * (omega_squared * -step.travel_squared);
        // |e y| stays under 1.3 in the asymptotic range; measured where the tube is narrower.
        let size = if narrow * ASYMPTOTIC_FROM <= 1.0 {
            1.3 * highest * step.travel_squared
        } else {
            w.norm_squared().max().sqrt()
        };
        let (ch, shc) = cosh_and_sinhc(w, size);

        let g = step.grow;
        let grow_shc = shc * g;
        let a = ch * (1.0 + g) - grow_shc;
        let d = (ch + grow_shc) * (1.0 / (1.0 + g));
        let b = (e * shc).times_j(omega * step.mass);
        let mut c = shc * (1.0 + g);
        if g != 0.0 {
            c = c + third(w, size, ch, shc) * (g * g);
        }
        let c = (y * c).times_j(omega * step.compliance);
        (p, u) = (a * p + b * u, c * p + d * u);
        if size > SMALL && p.norm_squared().max() > LARGE {
            (p, u) = (p * (1.0 / LARGE.sqrt()), u * (1.0 / LARGE.sqrt()));
        }
    }
    (p, u)
}

/// How many terms of the loss series serve at this `1/s`.
#[inline(always)]
fn terms_for(t: f64) -> usize {
    let mut terms = 4;
    while terms < TERMS && SERIES.reach.get(terms).is_some_and(|&reach| t > reach) {
        terms += 1;
    }
    terms
}

#[inline(always)]
fn series(t: Real, terms: usize) -> Complex {
    let mut sum = Complex::default();
    for c in SERIES.c.iter().take(terms).rev() {
        sum.re = (sum.re + Real::all(c.re)) * t;
        sum.im = (sum.im + Real::all(c.im)) * t;
    }
    sum
}

#[inline(always)]
fn table(t: Real) -> Complex {
    let mut out = Complex::default();
    for ((re, im), t) in out.re.0.iter_mut().zip(&mut out.im.0).zip(t.0) {
        let f = thermoviscous(1.0 / t);
        (*re, *im) = (f.re, f.im);
    }
    out
}

/// `cosh(sqrt w)` and `sinh(sqrt w)/sqrt w`, for |w| up to `size`.
#[inline(always)]
fn cosh_and_sinhc(w: Complex, size: f64) -> (Complex, Complex) {
    let (mut halvings, mut scale, mut left) = (0, 1.0, size);
    while left > SMALL && halvings < 40 {
        halvings += 1;
        scale *= 0.25;
        left *= 0.25;
    }
    let w = w * scale;
    let (mut ch, mut shc) = (Complex::default(), Complex::default());
    for (a, b) in COSH.iter().zip(&SINHC) {
        ch = (ch * w).plus(*a);
        shc = (shc * w).plus(*b);
    }
    for _ in 0..halvings {
        shc = shc * ch;
        ch = (ch * ch * 2.0).plus(-1.0);
    }
    (ch, shc)
}

/// `(cosh - sinhc)/w`, without cancellation where `w` is small.
#[inline(always)]
fn third(w: Complex, size: f64, ch: Complex, shc: Complex) -> Complex {
    if size > SMALL {
        return (ch - shc) * w.recip();
    }
    let mut sum = Complex::default();
    for (a, b) in COSH.iter().zip(&SINHC).take(TAYLOR) {
        sum = (sum * w).plus(a - b);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Air;
    use crate::impedance::matrix::{apply, cone_matrix};
    use num_complex::Complex64;
    use proptest::prelude::*;

    proptest! {
        /// The march equals the plain matrix, for narrow and wide, short and long, tapered or not.
        #[test]
        fn march_equals_the_plain_formula(
            r1 in 5e-4..0.2_f64, taper in prop_oneof![Just(1.0), 0.5..2.0_f64],
            length in 1e-3..2.0_f64, f in 15.0..3000.0_f64,
        ) {
            let air = Air::default().medium().unwrap();
            let cone = Cone { r1, r2: r1 * taper, length };
            let omega: [f64; LANES] = std::array::from_fn(|i| 2.0 * PI * f * (1.0 + 0.1 * i as f64));
            let p = Complex { re: Real::all(0.3), im: Real::all(1.0) };
            let u = Complex { re: Real::all(2e-6), im: Real::all(-1e-6) };
            let (fast_p, fast_u) = march(&plan(&[cone], &air), &air, &omega, (p, u));
            for (i, &omega) in omega.iter().enumerate() {
                let state = (Complex64::new(0.3, 1.0), Complex64::new(2e-6, -1e-6));
                let (p, u) = apply(&cone_matrix(&cone, omega, &air), state);
                let got = Complex64::new(fast_p.re.0[i], fast_p.im.0[i]);
                prop_assert!((got - p).norm() < 2e-9 * p.norm(), "{got} {p}");
                let got = Complex64::new(fast_u.re.0[i], fast_u.im.0[i]);
                prop_assert!((got - u).norm() < 2e-9 * u.norm(), "{got} {u}");
            }
        }
    }
}
