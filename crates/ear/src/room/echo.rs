//! Reverberation from the decays that playing leaves behind, and the delay of a loopback.

use realfft::RealFftPlanner;

use crate::heard::Heard;
use crate::measure::stats;
use crate::{Measure, Samples, WhyNot};

/// A decay is fitted between these levels below the note, dB (as T20 of ISO 3382-2: -5 to -25).
const FROM_DB: f64 = 5.0;
const TO_DB: f64 = 25.0;
/// It must fall at least this far before the noise, dB.
const LEAST_DB: f64 = 10.0;
/// The fit keeps this far above the noise, dB.
const OVER_NOISE_DB: f64 = 6.0;
/// Step of the levels, seconds.
const STEP_S: f64 = 0.01;
/// Longest decay looked at, seconds.
const LONGEST_S: f64 = 2.5;
/// A decay must follow a line this well: share of its variance.
const STRAIGHT: f64 = 0.95;

/// Time for 60 dB, from the notes that stop with a rest behind them and the level (dB) between two
/// times. A player's own release can only lengthen a decay, so the lower quartile of all decays is
/// taken: an upper bound for a room that is drier than the player's releases are short.
pub(crate) fn reverb(heard: &Heard, level: impl Fn(f64, f64) -> f64) -> Measure {
    let mut times: Vec<f64> = (0..heard.notes.len())
        .filter_map(|i| decay(heard, i, &level))
        .collect();
    times.sort_by(f64::total_cmp);
    let Some(value) = times
        .get(times.len() / 4)
        .copied()
        .filter(|_| times.len() >= 2)
    else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let spread = stats::robust_deviation(&times).unwrap_or(0.0);
    Measure::known(
        value,
        (spread / (times.len() as f64).sqrt()).max(0.1 * value),
    )
}

fn decay(heard: &Heard, index: usize, level: impl Fn(f64, f64) -> f64) -> Option<f64> {
    let (note, after) = (heard.notes.get(index)?, heard.notes.get(index + 1));
    if after.is_some_and(|next| next.slurred) {
        return None;
    }
    let (steady_from, steady_to) = note.steady_s;
    let steady = level(steady_from, steady_to);
    let end = after.map_or(heard.seconds, |next| next.onset_s - STEP_S);
    let last = end.min(note.offset_s + LONGEST_S);
    let count = ((last - steady_to) / STEP_S).max(0.0) as usize;
    let levels: Vec<f64> = (0..count)
        .map(|i| steady_to + i as f64 * STEP_S)
        .map(|from| level(from, from + STEP_S))
        .collect();
    let noise = levels.iter().copied().fold(f64::INFINITY, f64::min);
    let begin = levels
        .iter()
        .rposition(|l| *l > steady - FROM_DB)
        .map_or(0, |i| i + 1);
    let floor = (steady - TO_DB).max(noise + OVER_NOISE_DB);
    let points: Vec<(f64, f64)> = levels
        .iter()
        .enumerate()
        .skip(begin)
        .take_while(|(_, level)| **level > floor)
        .map(|(i, level)| (i as f64 * STEP_S, *level))
        .collect();
    let (first, last) = (points.first()?, points.last()?);
    if first.1 - last.1 < LEAST_DB || points.len() < 4 {
        return None;
    }
    let (slope, at_zero) = stats::trend(&points)?;
    let levels: Vec<f64> = points.iter().map(|p| p.1).collect();
    let rest: Vec<f64> = points
        .iter()
        .map(|(x, y)| y - at_zero - slope * x)
        .collect();
    let (all, left) = (stats::deviation(&levels)?, stats::deviation(&rest)?);
    (slope < 0.0 && 1.0 - (left / all).powi(2) > STRAIGHT).then(|| -60.0 / slope)
}

/// Delay of `came_back` behind `sent`, milliseconds.
pub(super) fn latency(sent: &Samples, came_back: &Samples) -> Measure {
    let short = Measure::unknown(WhyNot::TooShort);
    if sent.data.is_empty() || came_back.data.is_empty() || sent.rate <= 0.0 {
        return short;
    }
    if (sent.rate - came_back.rate).abs() > 1e-6 {
        return Measure::unknown(WhyNot::NoTarget);
    }
    let Some(correlation) = correlate(&sent.data, &came_back.data) else {
        return short;
    };
    let useful = correlation.get(..came_back.data.len()).unwrap_or(&[]);
    let best = useful
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some((at, peak)) = best else {
        return short;
    };
    let spread = (useful.iter().map(|x| x * x).sum::<f64>() / useful.len() as f64).sqrt();
    // A peak that does not stand out is chance: 6 sigma over all lags.
    if peak.abs() < 6.0 * spread {
        return Measure::unknown(WhyNot::TooNoisy);
    }
    let value = 1_000.0 * at as f64 / sent.rate;
    Measure::known(value, (1_000.0 / sent.rate / 12.0_f64.sqrt()).max(0.02))
}

fn correlate(a: &[f32], b: &[f32]) -> Option<Vec<f64>> {
    let size = (a.len() + b.len()).checked_next_power_of_two()?;
    let mut planner = RealFftPlanner::<f64>::new();
    let (forward, back) = (
        planner.plan_fft_forward(size),
        planner.plan_fft_inverse(size),
    );
    let spectrum = |sound: &[f32]| {
        let mut input = forward.make_input_vec();
        for (slot, x) in input.iter_mut().zip(sound) {
            *slot = f64::from(*x);
        }
        let mut output = forward.make_output_vec();
        forward
            .process(&mut input, &mut output)
            .ok()
            .map(|()| output)
    };
    let (a, mut b) = (spectrum(a)?, spectrum(b)?);
    for (b, a) in b.iter_mut().zip(&a) {
        *b *= a.conj();
    }
    // The inverse asks for real ends; rounding leaves crumbs there.
    for end in [0, size / 2] {
        if let Some(bin) = b.get_mut(end) {
            bin.im = 0.0;
        }
    }
    let mut result = back.make_output_vec();
    back.process(&mut b, &mut result).ok()?;
    Some(result)
}
