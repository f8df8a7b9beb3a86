//! Resonances: the peaks of |Z|, refined to 0.01 cent, each with height, Q and its mode.

use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::PI;

use crate::air::Medium;
use crate::bore::Tube;

use super::curve::{Curve, CurveError, MAX_FREQUENCY, Marcher};
use super::modes::Mode;

/// Grid points between neighbouring resonances in the first search.
const POINTS_PER_RESONANCE: f64 = 40.0;
/// A peak must rise this far above both neighbouring valleys to count (ratio of |Z|).
const LEAST_RISE: f64 = 1.01;
/// Longest first-search grid.
const MAX_GRID: usize = 40_000;

/// One resonance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Peak {
    /// Frequency of the largest |Z|, Hz.
    pub frequency: f64,
    /// |Z| there, Pa.s/m3.
    pub height: f64,
    /// Quality factor of the pole behind the peak.
    pub q: f64,
    /// Pole and residue.
    pub mode: Mode,
}

/// The resonances of one tube, lowest first, and the grid on which they were looked for.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Resonances {
    /// Peaks, lowest first: index 0 is the tube's first resonance, the one near or below the pedal.
    pub peaks: Vec<Peak>,
    /// The first search, useful for pictures and for the lips.
    pub grid: Curve,
}

/// All resonances below `limit` Hz, each refined to 0.01 cent.
///
/// ```
/// use horn::Air;
/// use horn::bore::{State, generic_bore};
/// use horn::impedance::resonances;
///
/// let tube = generic_bore("trombone-tenor")?.tube(&State::default(), None)?;
/// let found = resonances(&tube, &Air::default().medium()?, 500.0)?;
/// let peak = &found.peaks[3];
/// assert!((peak.frequency / 233.1).log2().abs() * 1200.0 < 15.0 && peak.q > 10.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// The search starts far below the first resonance, so the n-th peak is the n-th resonance.
///
/// # Errors
/// As [`super::input_impedance`]; a limit that is not positive is refused as a frequency.
pub fn resonances(tube: &Tube, air: &Medium, limit: f64) -> Result<Resonances, CurveError> {
    if tube.cones.is_empty() {
        return Err(CurveError::Empty);
    }
    if !(limit > 0.0 && limit <= MAX_FREQUENCY) {
        return Err(CurveError::Frequency {
            index: 0,
            value: limit,
        });
    }
    let marcher = Marcher::new(tube, air);
    let spacing = air.c / (2.0 * tube.length());
    let step = (spacing / POINTS_PER_RESONANCE).max(limit / MAX_GRID as f64);
    let count = (limit / step) as usize + 1;
    // A quarter of the lowest conceivable resonance, that of a closed-open cylinder, is c/16L.
    let first = (spacing / 8.0).min(limit / 2.0);
    let frequency: Vec<f64> = (0..count).map(|i| first + i as f64 * step).collect();
    let impedance = marcher.impedance(&frequency);
    if let Some((_, &frequency)) = impedance
        .iter()
        .zip(&frequency)
        .find(|(z, _)| !z.is_finite())
    {
        return Err(CurveError::Diverged { frequency });
    }
    let size: Vec<f64> = impedance.iter().map(|z| z.norm()).collect();
    let found = maxima(&size);
    let at: Vec<f64> = found
        .iter()
        .filter_map(|&i| frequency.get(i).copied())
        .collect();
    let peaks = refine(&marcher, &at, step);
    Ok(Resonances {
        peaks,
        grid: Curve {
            frequency,
            impedance,
        },
    })
}

/// Places where `size` has a maximum that stands out from the valleys on both sides.
fn maxima(size: &[f64]) -> Vec<usize> {
    let mut out = Vec::new();
    let (mut low, mut high, mut at) = (f64::INFINITY, 0.0_f64, 0);
    let mut rising = true;
    for (i, &z) in size.iter().enumerate() {
        if rising {
            if z > high {
                (high, at) = (z, i);
            } else if z * LEAST_RISE < high {
                if at > 0 {
                    out.push(at);
                }
                rising = false;
                low = z;
            }
        } else if z < low {
            low = z;
        } else if z > low * LEAST_RISE {
            rising = true;
            (high, at) = (z, i);
        }
    }
    out
}

/// Rounds of parabola through |Y|^2: exact for a single pole, each round far closer than the last.
const ROUNDS: [f64; 4] = [1.0, 0.25, 0.02, 0.002];
/// Points of the local polynomial through Y from which the pole is read, and their spacing in
/// half bandwidths.
const POLE_POINTS: usize = 5;

fn refine(marcher: &Marcher<'_>, start: &[f64], step: f64) -> Vec<Peak> {
    let mut centre = start.to_vec();
    let mut height = vec![0.0; start.len()];
    let mut width = vec![0.0; start.len()];
    for round in ROUNDS {
        let h = step * round;
        let points: Vec<f64> = centre.iter().flat_map(|&f| [f - h, f, f + h]).collect();
        let z = marcher.impedance(&points);
        for (((f, top), width), z) in centre
            .iter_mut()
            .zip(&mut height)
            .zip(&mut width)
            .zip(z.chunks_exact(3))
        {
            let &[a, b, c] = z else { continue };
            let [a, b, c] = [a, b, c].map(|z| 1.0 / z.norm_sqr());
            let (slope, bend) = ((c - a) / 2.0, a - 2.0 * b + c);
            if bend > 0.0 {
                let shift = (-slope / bend).clamp(-1.0, 1.0);
                let least = b + slope * shift / 2.0;
                *f += h * shift;
                *top = 1.0 / least.max(f64::MIN_POSITIVE).sqrt();
                // |Y|^2 = least + bend/2 (f - centre)^2 / h^2 doubles at half the bandwidth.
                if round >= 0.02 {
                    *width = h * (2.0 * least / bend).sqrt();
                }
            }
        }
    }
    let poles = poles(marcher, &centre, &width, &height);
    centre
        .iter()
        .zip(height)
        .zip(poles)
        .map(|((&frequency, height), mode)| Peak {
            frequency,
            height,
            q: mode.q(),
            mode,
        })
        .collect()
}

/// Pole and residue near each peak: the zero of the polynomial through Y at five points.
fn poles(marcher: &Marcher<'_>, centre: &[f64], width: &[f64], height: &[f64]) -> Vec<Mode> {
    const MIDDLE: f64 = (POLE_POINTS / 2) as f64;
    let points: Vec<f64> = centre
        .iter()
        .zip(width)
        .flat_map(|(&f, &h)| {
            (0..POLE_POINTS).map(move |i| (f + (i as f64 - MIDDLE) * 0.5 * h).max(f * 1e-3))
        })
        .collect();
    let z = marcher.impedance(&points);
    centre
        .iter()
        .zip(width)
        .zip(z.chunks_exact(POLE_POINTS))
        .zip(height)
        .map(|(((&f, &h), z), &top)| {
            let y: Vec<Complex64> = z.iter().map(|z| 1.0 / z).collect();
            let (x, slope) = newton_zero(&y);
            let unit = 0.5 * h;
            let zero = f + (x - MIDDLE) * unit;
            // A faint ripple above the bell's cut-off has no pole of its own nearby; it is then
            // given the width of its top.
            if !(zero.im > 0.0 && (zero - f).norm() < 2.0 * h) {
                let pole = Complex64::new(-2.0 * PI * h, 2.0 * PI * f);
                return Mode {
                    pole,
                    residue: Complex64::new(2.0 * PI * h * top, 0.0),
                };
            }
            // Z near the pole is 1/(Y' (f - zero)), and jw - s = 2 pi j (f - zero).
            let per_hertz = slope / unit;
            Mode {
                pole: Complex64::new(0.0, 2.0 * PI) * zero,
                residue: Complex64::new(0.0, 2.0 * PI) / per_hertz,
            }
        })
        .collect()
}

/// Zero of the polynomial through `y[i]` at `x = i`, found from the middle, and the slope there.
fn newton_zero(y: &[Complex64]) -> (Complex64, Complex64) {
    // Newton's forward differences.
    let mut level = y.to_vec();
    let mut differences = Vec::with_capacity(y.len());
    while let Some(&first) = level.first() {
        differences.push(first);
        level = level
            .windows(2)
            .filter_map(|w| Some(w.get(1)? - w.first()?))
            .collect();
    }
    let mut x = Complex64::new(y.len() as f64 / 2.0, 0.0);
    let mut slope = Complex64::new(f64::NAN, f64::NAN);
    for _ in 0..30 {
        let (mut value, mut term) = (Complex64::default(), Complex64::new(1.0, 0.0));
        let mut term_slope = Complex64::default();
        slope = Complex64::default();
        for (k, d) in differences.iter().enumerate() {
            value += d * term;
            slope += d * term_slope;
            let (k, n) = (k as f64, k as f64 + 1.0);
            term_slope = (term_slope * (x - k) + term) / n;
            term *= (x - k) / n;
        }
        let change = value / slope;
        x -= change;
        if change.norm() < 1e-12 {
            break;
        }
    }
    (x, slope)
}
