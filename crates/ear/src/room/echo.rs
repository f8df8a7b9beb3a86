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
/// Times that the end of a decay is looked for.
const LOOKS: usize = 3;
/// A decay counts by how far it falls to this power: what it tells of its slope, as a share, ...
const COUNTS: i32 = 3;
/// Slopes of single notes' decays differ by this share in one room, ...
const DIFFER: f64 = 0.3;
/// ... known as from so many notes.
const DIFFER_FREEDOM: f64 = 4.0;

/// The decay of one note.
#[derive(Clone, Copy, Debug)]
struct Decay {
    /// Natural logarithm of the time for 60 dB, seconds.
    log_s: f64,
    weight: f64,
}

/// Time for 60 dB, from the notes that stop with a rest behind them and the level (dB) between two
/// times.
///
/// A single tone's decay beats by some dB, and for about as long as it takes to fall by 4 dB its
/// echo is alike: few of them follow a line, and what one tells depends on how far it falls, not on
/// how long that takes. The weighted middle of all is taken, which a player's own slow fades, as long
/// as they are the fewer, do not move.
pub(crate) fn reverb(heard: &Heard, level: impl Fn(f64, f64) -> f64) -> Measure {
    let mut decays: Vec<Decay> = (0..heard.notes.len())
        .filter_map(|i| decay(heard, i, &level))
        .collect();
    if decays.len() < 2 {
        return Measure::unknown(WhyNot::TooFew);
    }
    decays.sort_by(|a, b| a.log_s.total_cmp(&b.log_s));
    let all: f64 = decays.iter().map(|d| d.weight).sum();
    let mut sum = 0.0;
    let middle = decays.iter().find(|d| {
        sum += d.weight;
        sum >= all / 2.0
    });
    let Some(middle) = middle.map(|d| d.log_s) else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let value = middle.exp();
    // A few notes' spread says little: it is held together with what is usual.
    let logs: Vec<f64> = decays.iter().map(|d| d.log_s).collect();
    let spread = stats::deviation(&logs).unwrap_or(0.0);
    let own = logs.len() as f64 - 1.0;
    let freedom = own + DIFFER_FREEDOM;
    let variance = (own * spread.powi(2) + DIFFER_FREEDOM * DIFFER.powi(2)) / freedom;
    let squares: f64 = decays.iter().map(|d| (d.weight / all).powi(2)).sum();
    // A weighted middle costs a quarter more than a mean; intervals are told as normal ones.
    let uncertainty = 1.25 * (variance * squares).sqrt() * stats::student(freedom) / 1.96;
    Measure::known(value, value * uncertainty)
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
        .collect();
    // The decay ends where its line comes to the floor: were it to end with the first level below,
    // only levels above their line would be seen there.
    let mut used = points.iter().position(|(_, level)| *level <= floor);
    let mut line = None;
    for _ in 0..LOOKS {
        let seen = points.get(..used.unwrap_or(count).max(LEAST))?;
        let (slope, top) = stats::trend(seen).filter(|(slope, _)| *slope < 0.0)?;
        used = Some((((floor - top) / slope / STEP_S).max(0.0) as usize).min(count));
        line = Some((slope, seen.len() as f64 * STEP_S));
    }
    let (slope, seconds) = line?;
    let falls = -slope * seconds;
    (falls >= LEAST_DB).then_some(Decay {
        log_s: (-60.0 / slope).ln(),
        weight: falls.powi(COUNTS),
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
