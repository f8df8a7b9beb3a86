//! What closes the tube at the bell: radiation, or an ideal end for checks.

use num_complex::Complex64;
use serde::{Deserialize, Serialize};

use crate::air::Medium;

/// The far end of a tube.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// A rim in free space (the usual bell).
    #[default]
    Unflanged,
    /// A rim in an infinite wall.
    Flanged,
    /// Pressure zero: the ideal open end of textbooks.
    Open,
    /// Flow zero: the ideal closed end.
    Closed,
}

/// Coefficients of |R| and of the end correction over the radius, as functions of `x = (ka)^2`:
/// `|R| = (1 + r0 x)/(1 + r1 x + r2 x^2 + r3 x^3)`, `l/a = l0 (1 + l1 x)/(1 + l2 x + l3 x^2 + l4 x^3)`.
///
/// Silva, Guillemain, Kergomard, Mallaroni & Norris, J. Sound Vib. 322 (2009) 255, eqs. 19-20
/// (from memory, checked against the integrals of Levine & Schwinger 1948 in `checks/`).
struct Fit {
    r: [f64; 4],
    l: [f64; 5],
}

const UNFLANGED: Fit = Fit {
    r: [0.800, 1.300, 0.266, 0.0263],
    l: [0.6133, 0.0599, 0.238, -0.0153, 0.00150],
};
const FLANGED: Fit = Fit {
    r: [0.730, 1.730, 0.372, 0.0231],
    l: [0.8216, 0.244, 0.723, -0.0198, 0.00366],
};

/// Modulus of the pressure reflection and end correction over the radius, at `ka`.
///
/// `None` for the ideal ends. Within 2 % of the exact integrals up to `ka` = 3.5.
#[must_use]
pub fn radiation_reflection(end: End, ka: f64) -> Option<(f64, f64)> {
    let fit = match end {
        End::Unflanged => &UNFLANGED,
        End::Flanged => &FLANGED,
        End::Open | End::Closed => return None,
    };
    let x = ka * ka;
    let [r0, r1, r2, r3] = fit.r;
    let [l0, l1, l2, l3, l4] = fit.l;
    Some((
        (1.0 + r0 * x) / (1.0 + x * (r1 + x * (r2 + x * r3))),
        l0 * (1.0 + l1 * x) / (1.0 + x * (l2 + x * (l3 + x * l4))),
    ))
}

/// Pressure and flow at the end, up to a common factor: their ratio is the load impedance.
pub(super) fn end_state(end: End, radius: f64, omega: f64, air: &Medium) -> (Complex64, Complex64) {
    let one = Complex64::new(1.0, 0.0);
    match end {
        End::Open => (Complex64::default(), one),
        End::Closed => (one, Complex64::default()),
        End::Unflanged | End::Flanged => {
            let k = omega / air.c;
            let (modulus, length) = radiation_reflection(end, k * radius).unwrap_or((1.0, 0.0));
            let r = -modulus * Complex64::cis(-2.0 * k * radius * length);
            let area = std::f64::consts::PI * radius * radius;
            ((one + r) * (air.rho * air.c / area), one - r)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Levine & Schwinger, Phys. Rev. 73 (1948) 383: 0.6133 a as ka -> 0.
    #[test]
    fn end_correction_at_low_frequency() {
        let (modulus, length) = radiation_reflection(End::Unflanged, 1e-4).unwrap();
        assert!((length - 0.6133).abs() < 1e-4);
        assert!((modulus - 1.0).abs() < 1e-7);
    }

    /// Values of the Levine-Schwinger integrals, evaluated numerically (checks/test_horn_forms.py
    /// evaluates them again): (ka, |R|, l/a).
    #[test]
    fn fits_follow_the_integrals() {
        for (ka, modulus, length) in [
            (0.5, 0.896_44, 0.581_84),
            (1.0, 0.6951, 0.527_43),
            (2.0, 0.3462, 0.4169),
            (3.0, 0.1543, 0.3083),
        ] {
            let (r, l) = radiation_reflection(End::Unflanged, ka).unwrap();
            assert!((r / modulus - 1.0).abs() < 0.02, "{ka}: {r}");
            assert!((l / length - 1.0).abs() < 0.022, "{ka}: {l}");
        }
    }

    #[test]
    fn a_rim_never_gives_energy_back() {
        for end in [End::Unflanged, End::Flanged] {
            for i in 1..400 {
                let (r, l) = radiation_reflection(end, f64::from(i) * 0.05).unwrap();
                assert!((0.0..1.0).contains(&r) && l > 0.0);
            }
        }
    }
}
