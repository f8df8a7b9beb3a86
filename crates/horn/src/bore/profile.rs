//! A measured outline: a monotone cubic through distance and diameter.
//!
//! Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238: no overshoot between the points, which a
//! plain spline would put as bumps into the bore. (Straight lines between the points of a bell move
//! resonances by one to three cents.)

use super::tube::Cone;

/// The interpolated outline; SI units.
pub(super) struct Profile {
    x: Vec<f64>,
    r: Vec<f64>,
    slope: Vec<f64>,
}

impl Profile {
    /// From `[distance, diameter]` in mm, checked to be increasing.
    pub(super) fn new(points: &[[f64; 2]]) -> Self {
        let x: Vec<f64> = points.iter().map(|p| p[0] / 1000.0).collect();
        let r: Vec<f64> = points.iter().map(|p| p[1] / 2000.0).collect();
        let secant: Vec<f64> = x
            .windows(2)
            .zip(r.windows(2))
            .map(|(x, r)| (r[1] - r[0]) / (x[1] - x[0]))
            .collect();
        let inner = secant.windows(2).map(|d| {
            if d[0] * d[1] <= 0.0 {
                0.0
            } else {
                2.0 * d[0] * d[1] / (d[0] + d[1])
            }
        });
        let (first, last) = (
            secant.first().copied().unwrap_or(0.0),
            secant.last().copied().unwrap_or(0.0),
        );
        let slope = std::iter::once(first)
            .chain(inner)
            .chain(std::iter::once(last))
            .collect();
        Self { x, r, slope }
    }

    /// Cut into cones whose log radius changes by no more than `step`.
    pub(super) fn cones(&self, step: f64, out: &mut Vec<Cone>) {
        let ends = self
            .x
            .windows(2)
            .zip(self.r.windows(2))
            .zip(self.slope.windows(2));
        for ((x, r), d) in ends {
            let (&[x0, x1], &[r0, r1], &[d0, d1]) = (x, r, d) else {
                continue;
            };
            let length = x1 - x0;
            let pieces = ((r1 / r0).ln().abs() / step).ceil().clamp(1.0, 200.0) as usize;
            let radius = |t: f64| {
                let (u, tt) = (1.0 - t, t * t);
                r0 * u * u * (1.0 + 2.0 * t)
                    + r1 * tt * (3.0 - 2.0 * t)
                    + length * (d0 * t * u * u - d1 * tt * u)
            };
            let mut before = r0;
            for i in 1..=pieces {
                let next = radius(i as f64 / pieces as f64);
                out.push(Cone {
                    r1: before,
                    r2: next,
                    length: length / pieces as f64,
                });
                before = next;
            }
        }
    }
}
