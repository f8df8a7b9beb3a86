//! Vibrato: a regular swing of the pitch, its rate and its extent.

use std::f64::consts::TAU;

use num_complex::Complex64;

use super::table::Definition;
use super::view::long_enough;
use super::wander::independent;
use super::{View, view::Moment};
use crate::{Measure, WhyNot};

/// The rate.
pub const RATE: Definition = Definition {
    id: "vibrato_hz",
    name: "vibrato rate",
    unit: "Hz",
    what: "rate of the sine that fits the pitch of the steady part best, 3 to 9 Hz, with a level \
           and a slope beside it; moments that stray do not count, as for wander",
    window: "steady part, from when the echo of the note before has fallen by 30 dB where the \
             room's reverberation time is known, at least 400 ms",
    limits: "no vibrato is reported (0 extent, no rate) unless the sine explains half of the \
             movement and swings at least 4 cents; too echoing in a hall, and where the echo leaves \
             less than 400 ms",
    chosen_by: "3 to 9 Hz holds the rates published for wind players and singers (4 to 8 Hz, \
                Seashore 1938) with room; half and 4 cents: tests/measure_coverage.rs asks that \
                at most 2 % of simulated wandering notes pass for vibrato",
};

/// The extent.
pub const EXTENT: Definition = Definition {
    id: "vibrato_cents",
    name: "vibrato extent",
    unit: "cents",
    what: "amplitude of that sine: from the middle to the crest",
    window: RATE.window,
    limits: RATE.limits,
    chosen_by: RATE.chosen_by,
};

/// Shortest steady part, seconds: a little over one swing at the slowest rate, two and a half at
/// the usual ones.
const SHORTEST_S: f64 = 0.4;
/// Slowest and fastest rate, hertz, and the step of the search.
const RATES_HZ: (f64, f64, f64) = (3.0, 9.0, 0.1);
/// Share of the movement that the sine must explain.
const EXPLAINS: f64 = 0.5;
/// Smallest extent, cents.
const SMALLEST_CENTS: f64 = 4.0;
/// Least number of whole swings.
const SWINGS: f64 = 2.0;

/// The best sine through a stretch of pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    rate_hz: f64,
    sine: f64,
    cosine: f64,
    explains: f64,
    residual: f64,
    seconds: f64,
    independent: f64,
    origin_s: f64,
}

/// Measures rate and extent.
#[must_use]
pub fn measure(view: &View<'_>) -> (Measure, Measure) {
    let moments = match view.settled(SHORTEST_S) {
        Ok(moments) => moments,
        Err(why) => {
            let none = Measure::unknown(why);
            return (none, none);
        }
    };
    match fit(&moments) {
        Some(fit) if fit.is_vibrato() => fit.measures(),
        Some(fit) => (
            Measure::unknown(WhyNot::Absent),
            Measure::known(0.0, fit.extent_uncertainty().max(SMALLEST_CENTS / 2.0)),
        ),
        None => {
            let none = Measure::unknown(WhyNot::Unsettled);
            (none, none)
        }
    }
}

/// Fits level, slope and a sine at every rate of the search; `None` for too short a stretch.
#[must_use]
pub fn fit(moments: &[Moment]) -> Option<Fit> {
    if !long_enough(moments, SHORTEST_S) {
        return None;
    }
    let origin_s = moments.first()?.at_s;
    let seconds = moments.last()?.at_s - origin_s;
    let points = flattened(moments, origin_s);
    let total: f64 = points.iter().map(|(_, y)| y * y).sum();
    let count = ((RATES_HZ.1 - RATES_HZ.0) / RATES_HZ.2).round() as usize;
    let coarse = (0..=count)
        .map(|i| RATES_HZ.0 + i as f64 * RATES_HZ.2)
        .filter(|hz| hz * seconds >= SWINGS)
        .map(|hz| (sine_at(&points, hz), hz))
        .max_by(|a, b| a.0.2.total_cmp(&b.0.2))?;
    // A finer look round the best.
    let best = (-10..=10)
        .map(|i| coarse.1 + f64::from(i) * RATES_HZ.2 / 10.0)
        .map(|hz| (sine_at(&points, hz), hz))
        .max_by(|a, b| a.0.2.total_cmp(&b.0.2))?;
    let ((sine, cosine, power), rate_hz) = best;
    let freedom = (points.len() as f64 - 5.0).max(1.0);
    Some(Fit {
        rate_hz,
        sine,
        cosine,
        explains: power / total.max(1e-12),
        residual: ((total - power).max(0.0) / freedom).sqrt(),
        seconds,
        independent: independent(moments),
        origin_s,
    })
}

/// Steps that differ by less are even, seconds.
const EVEN_S: f64 = 1e-9;

/// Level and slope taken out by least squares.
fn flattened(moments: &[Moment], origin_s: f64) -> Vec<(f64, f64)> {
    let n = moments.len() as f64;
    let points = moments.iter().map(|m| (m.at_s - origin_s, m.cents));
    let (mt, my) = points
        .clone()
        .fold((0.0, 0.0), |(a, b), (t, y)| (a + t / n, b + y / n));
    let (sty, stt) = points.clone().fold((0.0, 0.0), |(a, b), (t, y)| {
        (a + (t - mt) * (y - my), b + (t - mt).powi(2))
    });
    let slope = sty / stt.max(1e-12);
    points
        .map(|(t, y)| (t, y - my - slope * (t - mt)))
        .collect()
}

/// Least squares of a sine and a cosine at a rate: their factors and the power explained.
fn sine_at(points: &[(f64, f64)], hz: f64) -> (f64, f64, f64) {
    let (mut ss, mut cc, mut sc, mut sy, mut cy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    // Moments lie evenly but for gaps: each turns on from the one before.
    let (mut turn, mut last_s, mut step_s, mut by) = (Complex64::ONE, 0.0, 0.0, Complex64::ONE);
    for (t, y) in points {
        let step = t - last_s;
        if (step - step_s).abs() > EVEN_S {
            by = Complex64::cis(TAU * hz * step);
            step_s = step;
        }
        turn *= by;
        last_s = *t;
        let (s, c) = (turn.im, turn.re);
        ss += s * s;
        cc += c * c;
        sc += s * c;
        sy += s * y;
        cy += c * y;
    }
    let determinant = (ss * cc - sc * sc).max(1e-12);
    let sine = (sy * cc - cy * sc) / determinant;
    let cosine = (cy * ss - sy * sc) / determinant;
    (sine, cosine, sine * sy + cosine * cy)
}

impl Fit {
    /// True when the swing is a vibrato by the table's limits.
    #[must_use]
    pub fn is_vibrato(&self) -> bool {
        self.explains >= EXPLAINS && self.extent() >= SMALLEST_CENTS
    }

    fn extent(&self) -> f64 {
        self.sine.hypot(self.cosine)
    }

    fn extent_uncertainty(&self) -> f64 {
        self.residual * (2.0 / self.independent).sqrt()
    }

    /// The sine at a time, cents.
    pub(super) fn swing_at(&self, at_s: f64) -> f64 {
        let (s, c) = (TAU * self.rate_hz * (at_s - self.origin_s)).sin_cos();
        self.sine * s + self.cosine * c
    }

    fn measures(&self) -> (Measure, Measure) {
        // Cramer-Rao bound of the frequency of a sine in white noise (Rife & Boorstyn 1974).
        let rate = (6.0 / self.independent).sqrt() * self.residual
            / (std::f64::consts::PI * self.extent() * self.seconds);
        (
            Measure::known(self.rate_hz, rate.max(0.02)),
            Measure::known(self.extent(), self.extent_uncertainty().max(0.1)),
        )
    }
}
