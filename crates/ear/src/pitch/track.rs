//! The fine track: the pitch of every 5 ms along a coarse path.

use crate::analysis::{Analysis, level_window_s};
use crate::heard::{Frame, Track};
use crate::pitch::Fine;
use crate::thresholds as t;

/// Fits the pitch at every fine step along `path` (hertz at coarse steps, `None` for silence).
#[must_use]
pub fn track(analysis: &Analysis, path: &[Option<f64>]) -> Track {
    let mut fine = Fine::new(analysis.sound.rate);
    let count = (analysis.sound.seconds() / t::FINE_STEP_S).floor() as usize + 1;
    let guesses: Vec<Option<f64>> = (0..count)
        .map(|i| guess(path, i as f64 * t::FINE_STEP_S))
        .collect();
    let levels: Vec<f64> = guesses
        .iter()
        .enumerate()
        .map(|(i, hz)| analysis.level_db(i as f64 * t::FINE_STEP_S, hz.unwrap_or(0.0)))
        .collect();
    let reach = (0.06 / t::FINE_STEP_S) as usize;
    let frames = guesses.iter().enumerate().map(|(i, guess)| {
        let at_s = i as f64 * t::FINE_STEP_S;
        let level = levels.get(i).copied().unwrap_or(-150.0);
        let silent = Frame {
            level_db: level as f32,
            ..Frame::default()
        };
        let Some(guess) = guess else { return silent };
        let around = levels.get(i.saturating_sub(reach)..(i + reach + 1).min(levels.len()));
        let peak = around.unwrap_or(&[]).iter().copied().fold(-150.0, f64::max);
        let faint = level < analysis.noise_db + t::SOUND_OVER_NOISE_DB
            || level < peak - t::SOUND_UNDER_PEAK_DB;
        if faint {
            return silent;
        }
        match fine.fit(analysis.rates(), analysis.centre(at_s), *guess) {
            Some(fit) => Frame {
                hz: fit.hz,
                cents_uncertainty: fit.cents_uncertainty as f32,
                periodicity: fit.periodicity as f32,
                level_db: level as f32,
            },
            None => silent,
        }
    });
    Track {
        step_s: t::FINE_STEP_S,
        frames: frames.collect(),
    }
}

/// The path's pitch at a time: between two pitches close to each other the mean, else the nearer.
fn guess(path: &[Option<f64>], at_s: f64) -> Option<f64> {
    let place = at_s / t::COARSE_STEP_S;
    let (low, share) = (place.floor() as usize, place.fract());
    let a = path.get(low).copied().flatten();
    let b = path.get(low + 1).copied().flatten();
    match (a, b) {
        (Some(a), Some(b)) if (a / b).log2().abs() < 0.05 => Some(a * (b / a).powf(share)),
        (a, b) if share < 0.5 => a.or(b),
        (a, b) => b.or(a),
    }
}

/// Seconds that the level of a pitch is taken over (for whoever reads `level_db`).
#[must_use]
pub fn level_seconds(hz: f64) -> f64 {
    level_window_s(hz)
}
