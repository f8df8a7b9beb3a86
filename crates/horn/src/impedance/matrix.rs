//! The transmission matrix of one lossy cone: the plain formula, for reference and for pictures.
//!
//! The fast kernel computes the same quantity in another way; the tests hold the two together.

use num_complex::Complex64;

use crate::air::Medium;
use crate::bore::Cone;

use super::losses::bessel_ratio;

/// `[A, B, C, D]`: `(p1, u1) = [[A, B], [C, D]] (p2, u2)`, side 1 nearer the player.
pub type Matrix = [Complex64; 4];

/// The matrix of a cone (or cylinder) at angular frequency `omega`, rad/s.
///
/// Viscous and thermal losses are those of Zwikker & Kosten at the cone's mean radius; the wave is
/// the exact spherical one of a cone (Mapes-Riordan, J. Audio Eng. Soc. 41 (1993) 471, eq. 17,
/// with the lossy propagation constant in place of `jk`). The determinant is 1.
///
/// ```
/// use horn::{Air, bore::Cone, impedance::cone_matrix};
/// let air = Air::dry(26.85).medium().unwrap();
/// let cone = Cone { r1: 0.005, r2: 0.006, length: 0.2 };
/// let [a, b, c, d] = cone_matrix(&cone, 2.0 * std::f64::consts::PI * 440.0, &air);
/// assert!((a * d - b * c - 1.0).norm() < 1e-12);
/// ```
#[must_use]
pub fn cone_matrix(cone: &Cone, omega: f64, air: &Medium) -> Matrix {
    matrix_with_layer(cone, cone.loss_radius(), omega, air)
}

/// The same with the boundary layer of another radius: a piece of a cone keeps that of the whole.
pub(super) fn matrix_with_layer(
    cone: &Cone,
    layer_radius: f64,
    omega: f64,
    air: &Medium,
) -> Matrix {
    let Cone { r1, r2, length } = *cone;
    let s = layer_radius * (omega * air.rho / air.mu).sqrt();
    let viscous = 1.0 / (1.0 - layer(s));
    let thermal = 1.0 + (air.gamma - 1.0) * layer(s * air.prandtl.sqrt());
    let j = Complex64::i();
    // Per unit area: z = Zc S, and the propagation constant.
    let z = air.rho * air.c * (viscous / thermal).sqrt();
    let x = j * omega / air.c * (viscous * thermal).sqrt() * length;
    let (ch, sh) = (x.cosh(), x.sinh());
    let grow = r2 / r1 - 1.0;
    let area = std::f64::consts::PI * r1 * r1;
    [
        (1.0 + grow) * ch - grow * sh / x,
        z / (std::f64::consts::PI * r1 * r2) * sh,
        area / z * ((1.0 + grow) * sh + grow / x * (grow * ch - grow * sh / x)),
        (ch + grow * sh / x) / (1.0 + grow),
    ]
}

/// `F` by recurrence, or by the asymptotic series where the recurrence would be long.
fn layer(s: f64) -> Complex64 {
    if s > 60.0 {
        return super::thermoviscous(s);
    }
    let z = Complex64::cis(-std::f64::consts::FRAC_PI_4) * s;
    2.0 * bessel_ratio(z) / z
}

/// The state at side 1 of the cone from the state at side 2.
pub(super) fn apply(m: &Matrix, (p, u): (Complex64, Complex64)) -> (Complex64, Complex64) {
    (m[0] * p + m[1] * u, m[2] * p + m[3] * u)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Air;
    use proptest::prelude::*;

    proptest! {
        /// Reciprocity: det = 1 for every section.
        #[test]
        fn reciprocity(r1 in 5e-4..0.3_f64, taper in 0.3..3.0_f64, length in 1e-4..1.0_f64, f in 10.0..3000.0_f64) {
            let air = Air::default().medium().unwrap();
            let cone = Cone { r1, r2: r1 * taper, length };
            let [a, b, c, d] = cone_matrix(&cone, 2.0 * std::f64::consts::PI * f, &air);
            let scale = (a * d).norm().max((b * c).norm()).max(1.0);
            prop_assert!((a * d - b * c - 1.0).norm() < 1e-10 * scale);
        }
    }

    /// Two half cones are one cone, where losses do not vary along it (a cylinder).
    #[test]
    fn a_cylinder_may_be_cut() {
        let air = Air::default().medium().unwrap();
        let omega = 2000.0;
        let whole = cone_matrix(
            &Cone {
                r1: 0.006,
                r2: 0.006,
                length: 0.5,
            },
            omega,
            &air,
        );
        let half = cone_matrix(
            &Cone {
                r1: 0.006,
                r2: 0.006,
                length: 0.25,
            },
            omega,
            &air,
        );
        let one = Complex64::new(1.0, 0.0);
        let state = apply(&half, apply(&half, (one, one * 1e-6)));
        let direct = apply(&whole, (one, one * 1e-6));
        assert!((state.0 - direct.0).norm() < 1e-10 * direct.0.norm());
        assert!((state.1 - direct.1).norm() < 1e-10 * direct.1.norm());
    }
}
