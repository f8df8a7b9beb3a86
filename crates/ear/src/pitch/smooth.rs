//! The pitch of every moment from the fits of all moments round it.
//!
//! Each fit of [`super::Fine`] is the mean of the pitch over its Hann window with a noise of known
//! size. Over a stretch without a jump the pitch is taken to move with a jerk of white noise, and
//! what each fit saw is the pitch plus half its second derivative times the window's spread (a Hann
//! window's mean to second order), so that a vibrato is given back what the window took. The most
//! likely pitch of all moments jointly is the fixed-interval smoother of Rauch, Tung & Striebel
//! (AIAA J. 3 (1965) 1445) over a Kalman filter; it equals the penalised least squares of a smoothing
//! spline (Wahba 1978). Where fits are sure, it follows each; where they are noisy, it leans on
//! their neighbours.

use crate::heard::Frame;
use crate::pitch::Fine;
use crate::thresholds as t;

/// Variance of a Hann window about its middle, as a share of its length squared: 1/12 - 1/(2 pi^2).
const HANN_SPREAD: f64 = 0.032_67;
/// Moments' errors are alike over this share of a window: half of it.
const ALIKE: f64 = 0.5;
/// Start of a stretch: nothing is known of the pitch, little of how it moves (cents, steps).
const START: [f64; 3] = [1.0e6, 1.0e2, 1.0];

type Vector = [f64; 3];
type Matrix = [[f64; 3]; 3];

/// One moment of the filter.
#[derive(Clone, Copy, Debug)]
struct Step {
    predicted: (Vector, Matrix),
    filtered: (Vector, Matrix),
}

/// Smooths the sounding frames of a track in place.
pub fn smooth(fine: &Fine, frames: &mut [Frame]) {
    let mut from = 0;
    while from < frames.len() {
        let rest = frames.get(from..).unwrap_or(&[]);
        if !rest.first().is_some_and(Frame::sounds) {
            from += 1;
            continue;
        }
        let sounding = rest.iter().position(|f| !f.sounds()).unwrap_or(rest.len());
        let Some(run) = frames.get_mut(from..from + sounding) else {
            return;
        };
        let mut done = 0;
        while done < run.len() {
            done += stretch(fine, run.get_mut(done..).unwrap_or(&mut []));
        }
        from += sounding;
    }
}

/// Smooths frames up to the first jump; returns how many.
fn stretch(fine: &Fine, frames: &mut [Frame]) -> usize {
    let Some(origin) = frames.first().map(|f| f.hz) else {
        return 1;
    };
    // Once to find where the jump is, once more with the windows that reach past it trusted less.
    let count = forward(fine, frames, origin, None).len().max(1);
    let Some(frames) = frames.get_mut(..count) else {
        return count;
    };
    let steps = forward(fine, frames, origin, Some(count));
    let mut later: Option<(Vector, Matrix)> = None;
    let mut after: Option<Step> = None;
    for (step, frame) in steps.iter().zip(frames.iter_mut()).rev() {
        let smoothed = match (later, after) {
            (Some(later), Some(after)) => back(step, &after, &later),
            _ => step.filtered,
        };
        frame.hz = origin * (smoothed.0[0] / 1200.0).exp2();
        let variance = at(&smoothed.1, 0, 0).max(0.0);
        frame.cents_uncertainty = variance.sqrt() as f32;
        later = Some(smoothed);
        after = Some(*step);
    }
    count
}

/// What a window takes from beyond the stretch, cents: nothing while it lies within it.
fn beyond(index: usize, count: usize, window: f64) -> f64 {
    let inside = (index as f64 + 0.5).min(count as f64 - index as f64 - 0.5);
    let share = (1.0 - inside / (0.5 * window).max(0.5)).clamp(0.0, 1.0);
    t::SMOOTH_BEYOND_CENTS * share * share
}

/// The filter over frames: up to the first jump, or over all of `whole` frames.
fn forward(fine: &Fine, frames: &[Frame], origin: f64, whole: Option<usize>) -> Vec<Step> {
    let cents = |hz: f64| 1200.0 * (hz / origin).log2();
    let mut steps: Vec<Step> = Vec::with_capacity(whole.unwrap_or(64));
    let mut now = ([0.0; 3], diagonal(START));
    for (index, frame) in frames.iter().enumerate() {
        let predicted = if steps.is_empty() { now } else { predict(&now) };
        let window = fine.window_s(frame.hz) / t::FINE_STEP_S;
        let bend = 0.5 * HANN_SPREAD * window * window;
        let error = f64::from(frame.cents_uncertainty)
            .max(t::SMOOTH_LEAST_CENTS)
            .hypot(whole.map_or(0.0, |count| beyond(index, count, window)));
        let noise = error * error * (ALIKE * window).max(1.0);
        let (state, spread) = &predicted;
        // The row of the observation is (1, 0, bend).
        let gain: Vector = [0, 1, 2].map(|i| at(spread, i, 0) + bend * at(spread, i, 2));
        let variance = gain[0] + bend * gain[2] + noise;
        let away = cents(frame.hz) - state[0] - bend * state[2];
        let jump = t::SMOOTH_JUMP_CENTS + t::SMOOTH_JUMP_SIGMAS * variance.sqrt();
        if whole.is_none() && !steps.is_empty() && away.abs() > jump {
            break;
        }
        let mut filtered = (*state, *spread);
        for i in 0..3 {
            if let (Some(x), Some(row)) = (filtered.0.get_mut(i), filtered.1.get_mut(i)) {
                let k = gain.get(i).copied().unwrap_or(0.0) / variance;
                *x += k * away;
                for (p, g) in row.iter_mut().zip(&gain) {
                    *p -= k * g;
                }
            }
        }
        now = filtered;
        steps.push(Step {
            predicted,
            filtered,
        });
    }
    steps
}

fn at(m: &Matrix, row: usize, column: usize) -> f64 {
    m.get(row)
        .and_then(|r| r.get(column))
        .copied()
        .unwrap_or(0.0)
}

fn diagonal(values: Vector) -> Matrix {
    [
        [values[0], 0.0, 0.0],
        [0.0, values[1], 0.0],
        [0.0, 0.0, values[2]],
    ]
}

fn times(a: &Matrix, b: &Matrix) -> Matrix {
    let cell = |i: usize, j: usize| (0..3).map(|k| at(a, i, k) * at(b, k, j)).sum();
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| cell(i, j)))
}

fn transposed(m: &Matrix) -> Matrix {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| at(m, j, i)))
}

fn sum(a: &Matrix, b: &Matrix, sign: f64) -> Matrix {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| at(a, i, j) + sign * at(b, i, j)))
}

/// One step on: pitch, slope and bend, one step apart.
const ON: Matrix = [[1.0, 1.0, 0.5], [0.0, 1.0, 1.0], [0.0, 0.0, 1.0]];

/// What a jerk of white noise adds in one step.
fn jerks() -> Matrix {
    let q = t::SMOOTH_JERK;
    [
        [q / 20.0, q / 8.0, q / 6.0],
        [q / 8.0, q / 3.0, q / 2.0],
        [q / 6.0, q / 2.0, q],
    ]
}

fn predict((state, spread): &(Vector, Matrix)) -> (Vector, Matrix) {
    let on = [
        state[0] + state[1] + 0.5 * state[2],
        state[1] + state[2],
        state[2],
    ];
    let spread = times(&times(&ON, spread), &transposed(&ON));
    (on, sum(&spread, &jerks(), 1.0))
}

/// The smoother's step back.
fn back(step: &Step, after: &Step, later: &(Vector, Matrix)) -> (Vector, Matrix) {
    let (state, spread) = &step.filtered;
    let Some(inverse) = inverse(&after.predicted.1) else {
        return step.filtered;
    };
    let gain = times(&times(spread, &transposed(&ON)), &inverse);
    let away: Vector = [0, 1, 2].map(|i| {
        let get = |v: &Vector| v.get(i).copied().unwrap_or(0.0);
        get(&later.0) - get(&after.predicted.0)
    });
    let moved: Vector = [0, 1, 2].map(|i| {
        state.get(i).copied().unwrap_or(0.0)
            + (0..3)
                .map(|j| at(&gain, i, j) * away.get(j).copied().unwrap_or(0.0))
                .sum::<f64>()
    });
    let change = sum(&later.1, &after.predicted.1, -1.0);
    let spread = sum(
        spread,
        &times(&times(&gain, &change), &transposed(&gain)),
        1.0,
    );
    (moved, spread)
}

fn inverse(m: &Matrix) -> Option<Matrix> {
    let minor = |i: usize, j: usize| {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (c, d) = ((j + 1) % 3, (j + 2) % 3);
        at(m, a, c) * at(m, b, d) - at(m, a, d) * at(m, b, c)
    };
    let whole: f64 = (0..3).map(|j| at(m, 0, j) * minor(0, j)).sum();
    (whole.abs() > 1e-30).then(|| [0, 1, 2].map(|i| [0, 1, 2].map(|j| minor(j, i) / whole)))
}
