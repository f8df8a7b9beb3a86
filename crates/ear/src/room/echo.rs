//! Reverberation from the decays that playing leaves behind, and the delay of a loopback.

use realfft::RealFftPlanner;

use crate::heard::Heard;
use crate::measure::stats;
use crate::{Measure, Samples, WhyNot};

/// A decay is followed down to this far below the note, dB (as T20 of ISO 3382-2), ...
const TO_DB: f64 = 25.0;
/// ... or to this far above the noise, dB.
const OVER_NOISE_DB: f64 = 6.0;
/// It must fall at least this far, dB, ...
const LEAST_DB: f64 = 6.0;
/// ... over at least as many levels.
const LEAST: usize = 5;
/// It begins this long after the player stops: what is left of the release is over, seconds.
const AFTER_S: f64 = 0.015;
/// Step of the levels, seconds.
const STEP_S: f64 = 0.01;
/// Longest decay looked at, seconds.
const LONGEST_S: f64 = 2.5;
/// Levels this far apart beat by themselves, seconds: a decaying tone's echo is alike for some 30 ms.
const ALIKE_S: f64 = 0.03;

/// The decay of one note.
#[derive(Clone, Copy, Debug)]
struct Decay {
    /// Slope, dB a second (below 0).
    slope: f64,
    /// What it tells: the spread of its times, squared and summed, seconds squared.
    weight: f64,
    /// Variance of its levels about the line, dB squared.
    left: f64,
    levels: f64,
}

/// Time for 60 dB, from the notes that stop with a rest behind them and the level (dB) between two
/// times.
///
/// A single tone's decay beats by some dB, so that few of them follow a line; what all decays say
/// together does. Each note gives a slope that counts by the spread of its times (least squares with
/// one slope for all and a level for each); the weighted middle of the slopes is taken, which a
/// player's own slow fades, as long as they are the fewer, do not move.
pub(crate) fn reverb(heard: &Heard, level: impl Fn(f64, f64) -> f64) -> Measure {
    let mut decays: Vec<Decay> = (0..heard.notes.len())
        .filter_map(|i| decay(heard, i, &level))
        .collect();
    if decays.len() < 2 {
        return Measure::unknown(WhyNot::TooFew);
    }
    decays.sort_by(|a, b| a.slope.total_cmp(&b.slope));
    let all: f64 = decays.iter().map(|d| d.weight).sum();
    let mut sum = 0.0;
    let middle = decays.iter().find(|d| {
        sum += d.weight;
        sum >= all / 2.0
    });
    let Some(slope) = middle.map(|d| d.slope).filter(|slope| *slope < 0.0) else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let value = -60.0 / slope;
    // From the levels' own beating, and from how the notes differ; a weighted middle costs a
    // quarter more than a mean.
    let levels: f64 = decays.iter().map(|d| d.levels).sum();
    let beating = decays.iter().map(|d| d.left * d.levels).sum::<f64>() / levels.max(1.0);
    let from_beating = (beating * (ALIKE_S / STEP_S) / all.max(1e-9)).sqrt();
    let slopes: Vec<f64> = decays.iter().map(|d| d.slope).collect();
    let differ = stats::robust_deviation(&slopes).unwrap_or(0.0) / (slopes.len() as f64).sqrt();
    let uncertainty = 1.25 * value * from_beating.max(differ) / -slope;
    Measure::known(value, uncertainty.max(0.05 * value))
}

fn decay(heard: &Heard, index: usize, level: impl Fn(f64, f64) -> f64) -> Option<Decay> {
    let (note, after) = (heard.notes.get(index)?, heard.notes.get(index + 1));
    if after.is_some_and(|next| next.slurred) {
        return None;
    }
    let (steady_from, steady_to) = note.steady_s;
    let steady = level(steady_from, steady_to);
    let end = after.map_or(heard.seconds, |next| next.onset_s - STEP_S);
    let begin = note.offset_s + AFTER_S;
    let last = end.min(begin + LONGEST_S);
    let floor = (steady - TO_DB).max(heard.noise_db + OVER_NOISE_DB);
    let count = ((last - begin) / STEP_S).max(0.0) as usize;
    let points: Vec<(f64, f64)> = (0..count)
        .map(|i| i as f64 * STEP_S)
        .map(|at| (at, level(begin + at, begin + at + STEP_S)))
        .take_while(|(_, level)| *level > floor)
        .collect();
    let n = points.len() as f64;
    if points.len() < LEAST {
        return None;
    }
    let (mx, my) = points
        .iter()
        .fold((0.0, 0.0), |(a, b), (x, y)| (a + x / n, b + y / n));
    let (sxy, sxx) = points.iter().fold((0.0, 0.0), |(a, b), (x, y)| {
        (a + (x - mx) * (y - my), b + (x - mx).powi(2))
    });
    let slope = sxy / sxx.max(1e-12);
    let left = points
        .iter()
        .map(|(x, y)| (y - my - slope * (x - mx)).powi(2))
        .sum::<f64>()
        / (n - 2.0);
    let falls = -slope * n * STEP_S;
    (falls >= LEAST_DB).then_some(Decay {
        slope,
        weight: sxx,
        left,
        levels: n,
    })
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
