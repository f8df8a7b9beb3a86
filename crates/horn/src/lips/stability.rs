//! Linear stability: at which blowing pressure a still lip starts to swing, and at which frequency.
//!
//! About the rest state the characteristic equation is
//! `Y(w) + W v0 [D/m + he/(2 pb)] = 0`, with `v0 = sqrt(2 pb/rho)`, `he = H + pb/(m wl^2)` and
//! `D = 1/(wl^2 - w^2 + j w wl/Q)`. Its imaginary part gives `v0` outright at each frequency; the
//! real part then has one unknown, the frequency, and its zeros are found by scanning. The flow
//! resistance of the open tube is taken as zero at rest (`p = 0`), as it is within 1 % of `pb`.

use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::PI;

use crate::air::Medium;
use crate::impedance::{Curve, Peak};

use super::Lips;

/// The air column as the lips see it: admittance on an even grid, with its peaks.
#[derive(Clone, Debug)]
pub struct AirColumn {
    first: f64,
    step: f64,
    admittance: Vec<Complex64>,
    /// Peaks of |Z|, lowest first.
    pub peaks: Vec<Peak>,
    /// Density of the air, kg/m3.
    rho: f64,
    /// Width of the lip opening, m.
    width: f64,
}

/// One point of oscillation onset.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Threshold {
    /// Playing frequency at onset, Hz.
    pub frequency: f64,
    /// Blowing pressure at onset, Pa.
    pub pressure: f64,
}

impl AirColumn {
    /// From an impedance curve on an evenly spaced grid; `rim_mm` is the inner rim diameter.
    #[must_use]
    pub fn new(grid: &Curve, peaks: &[Peak], air: &Medium, lips: &Lips, rim_mm: f64) -> Self {
        let first = grid.frequency.first().copied().unwrap_or(1.0);
        let second = grid.frequency.get(1).copied().unwrap_or(first + 1.0);
        Self {
            first,
            step: second - first,
            admittance: grid.impedance.iter().map(|z| 1.0 / z).collect(),
            peaks: peaks.to_vec(),
            rho: air.rho,
            width: lips.width_share * rim_mm / 1000.0,
        }
    }

    /// Admittance between grid points, by a cubic through four; `None` outside the grid.
    #[must_use]
    pub fn admittance(&self, frequency: f64) -> Option<Complex64> {
        let at = (frequency - self.first) / self.step;
        if at.is_nan() || at < 1.0 {
            return None;
        }
        let i = at as usize;
        let &[y0, y1, y2, y3] = self.admittance.get(i - 1..i + 3)? else {
            return None;
        };
        let x = at - i as f64;
        let (a, b, c) = (x + 1.0, x - 1.0, x - 2.0);
        Some(
            y0 * (-x * b * c / 6.0) + y1 * (a * b * c / 2.0) - y2 * (a * x * c / 2.0)
                + y3 * (a * x * b / 6.0),
        )
    }

    /// Frequencies between which partial `index` (0-based) can sound: from its peak to the next.
    fn window(&self, index: usize) -> Option<(f64, f64)> {
        let from = self.peaks.get(index)?.frequency;
        let grid_end = self.first + self.step * self.admittance.len().saturating_sub(3) as f64;
        let to = self
            .peaks
            .get(index + 1)
            .map_or((from * 1.2).min(grid_end), |p| p.frequency);
        Some((from, to))
    }
}

/// What the stability equation says at one frequency and lip frequency.
struct Balance {
    pressure: f64,
    /// Real part left over; zero at onset.
    rest: f64,
}

fn balance(
    column: &AirColumn,
    lips: &Lips,
    lip: f64,
    mass: f64,
    y: Complex64,
    f: f64,
) -> Option<Balance> {
    // Onset needs Im Y > 0: above the peak.
    if y.im <= 0.0 {
        return None;
    }
    let (omega, lip_omega) = (2.0 * PI * f, 2.0 * PI * lip);
    let (stiff, loss) = (
        lip_omega * lip_omega - omega * omega,
        omega * lip_omega / lips.q,
    );
    let size = stiff * stiff + loss * loss;
    let v0 = mass * y.im * size / (column.width * loss);
    let pressure = 0.5 * column.rho * v0 * v0;
    let opening = lips.opening_mm / 1000.0 + pressure / (mass * lip_omega * lip_omega);
    let rest = y.re + column.width * v0 * (stiff / size / mass + opening / (2.0 * pressure));
    rest.is_finite().then_some(Balance { pressure, rest })
}

/// The onset with the lowest pressure in partial `index`'s window, for lips tuned to `lip` Hz.
///
/// `None` when the partial cannot sound with that lip.
#[must_use]
pub fn thresholds(column: &AirColumn, lips: &Lips, lip: f64, index: usize) -> Option<Threshold> {
    let mass = lips.mass_at(lip);
    let (from, to) = column.window(index)?;
    // Outward-striking: the note lies above the lip's own frequency.
    let from = from.max(lip);
    let first = (((from - column.first) / column.step) as usize).max(1);
    let mut before: Option<(f64, Balance)> = None;
    let mut best: Option<Threshold> = None;
    for (i, y) in column.admittance.iter().enumerate().skip(first) {
        let f = column.first + i as f64 * column.step;
        if f > to {
            break;
        }
        let now = balance(column, lips, lip, mass, *y, f);
        if let (Some((f0, b0)), Some(b1)) = (&before, &now)
            && (b0.rest > 0.0) != (b1.rest > 0.0)
            && let Some(found) = polish(column, lips, lip, mass, (*f0, b0.rest), (f, b1.rest))
            && best.is_none_or(|b| found.pressure < b.pressure)
            && growth_per_pascal(column, lips, lip, &found).is_some_and(|g| g > 0.0)
        {
            best = Some(found);
        }
        before = now.map(|b| (f, b));
    }
    best
}

/// The zero between two grid points, by regula falsi (Illinois).
fn polish(
    column: &AirColumn,
    lips: &Lips,
    lip: f64,
    mass: f64,
    a: (f64, f64),
    b: (f64, f64),
) -> Option<Threshold> {
    let (mut a, mut b) = (a, b);
    let mut found = None;
    for _ in 0..40 {
        let f = (a.0 * b.1 - b.0 * a.1) / (b.1 - a.1);
        let at = balance(column, lips, lip, mass, column.admittance(f)?, f)?;
        found = Some(Threshold {
            frequency: f,
            pressure: at.pressure,
        });
        if (b.0 - a.0).abs() < 1e-7 * f || at.rest == 0.0 {
            break;
        }
        let close = at.rest.abs() < 1e-9 * (a.1.abs() + b.1.abs());
        if (at.rest > 0.0) == (b.1 > 0.0) {
            b = (f, at.rest);
            a.1 *= 0.5;
        } else {
            a = b;
            b = (f, at.rest);
        }
        if close {
            break;
        }
    }
    found
}

/// How fast the growth rate (1/s) rises with blowing pressure (Pa) at an onset: positive when the
/// note starts as the pressure passes it upwards.
///
/// From the characteristic equation `E(s, pb) = 0`: `ds/dpb = -(dE/dpb)/(dE/ds)`, with `dE/ds` along
/// the imaginary axis.
#[must_use]
pub fn growth_per_pascal(column: &AirColumn, lips: &Lips, lip: f64, at: &Threshold) -> Option<f64> {
    let mass = lips.mass_at(lip);
    let lip_omega = 2.0 * PI * lip;
    let value = |f: f64, pressure: f64| -> Option<Complex64> {
        let omega = 2.0 * PI * f;
        let d = 1.0
            / Complex64::new(
                lip_omega * lip_omega - omega * omega,
                omega * lip_omega / lips.q,
            );
        let v0 = (2.0 * pressure / column.rho).sqrt();
        let opening = lips.opening_mm / 1000.0 + pressure / (mass * lip_omega * lip_omega);
        Some(column.admittance(f)? + column.width * v0 * (d / mass + opening / (2.0 * pressure)))
    };
    let (df, dp) = (at.frequency * 1e-5, at.pressure * 1e-5);
    let by_pressure = (value(at.frequency, at.pressure + dp)?
        - value(at.frequency, at.pressure - dp)?)
        / (2.0 * dp);
    let by_omega = (value(at.frequency + df, at.pressure)?
        - value(at.frequency - df, at.pressure)?)
        / (4.0 * PI * df);
    // d/ds = -j d/dw on the imaginary axis.
    Some((-by_pressure / (by_omega * -Complex64::i())).re)
}
