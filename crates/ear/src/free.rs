//! Free hearing: notes from the track alone, without knowing what was to be played.

use crate::analysis::Analysis;
use crate::heard::{Frame, HeardNote, Match, Track};
use crate::measured::{Measure, WhyNot};
use crate::pitch::path::best_path;
use crate::pitch::track::track;
use crate::{scored, thresholds as t};

/// A stretch of frames taken for one note.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    from: usize,
    to: usize,
    /// True when the sound goes on from the stretch before.
    joined: bool,
}

/// The path of the loudest pitch at coarse steps, hertz.
#[must_use]
pub fn path(analysis: &Analysis) -> Vec<Option<f64>> {
    best_path(&analysis.salience, &analysis.silence, analysis.grid.count())
        .into_iter()
        .map(|place| place.map(|p| analysis.grid.hz(p)))
        .collect()
}

/// The track and the notes of a take without a score.
#[must_use]
pub fn hear(analysis: &Analysis) -> (Track, Vec<HeardNote>) {
    let track = track(analysis, &path(analysis));
    let notes = notes(analysis, &track);
    (track, notes)
}

/// Cuts a track into notes: at silences, at lasting changes of pitch, at new attacks.
#[must_use]
pub fn notes(analysis: &Analysis, track: &Track) -> Vec<HeardNote> {
    let mut stretches = Vec::new();
    let frames = &track.frames;
    let mut i = 0;
    while i < frames.len() {
        if !frames.get(i).is_some_and(Frame::sounds) {
            i += 1;
            continue;
        }
        let rest = frames.get(i..).unwrap_or(&[]);
        let length = rest.iter().position(|f| !f.sounds()).unwrap_or(rest.len());
        cut(frames, i, i + length, &mut stretches);
        i += length;
    }
    let shortest = (t::SHORTEST_NOTE_S / track.step_s) as usize;
    let long: Vec<Stretch> = stretches
        .into_iter()
        .filter(|s| s.to - s.from >= shortest)
        .collect();
    long.iter()
        .filter_map(|s| note(analysis, track, *s))
        .collect()
}

/// Cuts one sounding stretch where the pitch leaves a note for good.
fn cut(frames: &[Frame], from: usize, to: usize, out: &mut Vec<Stretch>) {
    let cents: Vec<f64> = frames
        .get(from..to)
        .unwrap_or(&[])
        .iter()
        .map(|f| 1200.0 * f.hz.log2())
        .collect();
    let hold = (t::SHORTEST_NOTE_S / t::FINE_STEP_S) as usize;
    let mut start = 0;
    let mut joined = false;
    while start < cents.len() {
        let end = leaves(&cents, start, hold);
        attacks(frames, from + start, from + end, joined, out);
        joined = true;
        start = end;
    }
}

/// Where the note that begins at `start` is left: the first frame nearer to the next note than to
/// this one.
fn leaves(cents: &[f64], start: usize, hold: usize) -> usize {
    let mut recent: Vec<f64> = Vec::new();
    let mut away = 0;
    for (i, value) in cents.iter().enumerate().skip(start) {
        let mut window: Vec<f64> = recent.iter().rev().take(30).copied().collect();
        let centre = median(&mut window).unwrap_or(*value);
        if (value - centre).abs() <= t::NOTE_BAND_CENTS {
            away = 0;
            recent.push(*value);
            continue;
        }
        away += 1;
        if away < hold {
            continue;
        }
        let mut last = cents.get(i + 1 - hold..=i).unwrap_or(&[]).to_vec();
        if spread(&last) > t::NOTE_BAND_CENTS {
            continue;
        }
        if recent.len() < hold {
            // Not a note yet: what came before was the way into this one.
            recent = last;
            away = 0;
            continue;
        }
        let next = median(&mut last).unwrap_or(*value);
        let between = (i + 1 - away..i).find(|j| {
            cents
                .get(*j)
                .is_some_and(|c| (c - next).abs() < (c - centre).abs())
        });
        return between.unwrap_or(i + 1 - hold).max(start + 1);
    }
    cents.len()
}

fn spread(values: &[f64]) -> f64 {
    let low = values.iter().copied().fold(f64::MAX, f64::min);
    let high = values.iter().copied().fold(f64::MIN, f64::max);
    high - low
}

/// The middle value.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => None,
        n if n % 2 == 1 => values.get(n / 2).copied(),
        n => Some(f64::midpoint(*values.get(n / 2 - 1)?, *values.get(n / 2)?)),
    }
}

/// Cuts a stretch of one pitch where the level dips as it does between two attacks.
fn attacks(frames: &[Frame], from: usize, to: usize, joined: bool, out: &mut Vec<Stretch>) {
    let reach = (0.08 / t::FINE_STEP_S) as usize;
    let edge = (0.04 / t::FINE_STEP_S) as usize;
    let level = |i: usize| frames.get(i).map_or(-150.0, |f| f64::from(f.level_db));
    // A dip in the dying end of a note is the room's, not a tongue's.
    let quiet = (from..to).map(level).fold(-150.0, f64::max) - t::ATTACK_UNDER_DB;
    let mut start = from;
    let mut joined = joined;
    let mut i = from + edge;
    while i + edge < to {
        let low = (i.saturating_sub(edge)..=i + edge).all(|j| level(j) >= level(i));
        let before = (start.max(i.saturating_sub(reach))..i)
            .map(level)
            .fold(-150.0, f64::max);
        let after = (i..to.min(i + reach)).map(level).fold(-150.0, f64::max);
        if low && after > quiet && before.min(after) - level(i) > t::ATTACK_DIP_DB {
            out.push(Stretch {
                from: start,
                to: i,
                joined,
            });
            start = i;
            joined = false;
            i += edge;
        }
        i += 1;
    }
    out.push(Stretch {
        from: start,
        to,
        joined,
    });
}

fn note(analysis: &Analysis, track: &Track, stretch: Stretch) -> Option<HeardNote> {
    let (from_s, to_s) = (
        stretch.from as f64 * track.step_s,
        stretch.to as f64 * track.step_s,
    );
    let (hz, uncertainty, steady_s) = centre(track, from_s, to_s)?;
    let level_db = analysis.levels.db(steady_s.0, steady_s.1);
    let onset_s = if stretch.joined {
        from_s
    } else {
        onset(analysis, from_s, hz, level_db)
    };
    Some(HeardNote {
        place: None,
        matched: Match::Extra,
        confidence: sure(analysis, from_s, to_s, hz),
        onset_s,
        offset_s: to_s,
        steady_s,
        hz,
        cents: Measure::unknown(WhyNot::NoTarget),
        cents_uncertainty: uncertainty,
        level_db,
        slurred: stretch.joined,
    })
}

/// How sure a free note is: its pitch against silence.
fn sure(analysis: &Analysis, from_s: f64, to_s: f64, hz: f64) -> f64 {
    let (from, to) = (from_s / t::COARSE_STEP_S, to_s / t::COARSE_STEP_S);
    let (from, to) = (from.ceil() as usize, to.floor() as usize);
    let place = analysis.grid.place(hz);
    let looks: Vec<f32> = analysis
        .salience
        .iter()
        .zip(&analysis.silence)
        .skip(from)
        .take(to.saturating_sub(from))
        .map(|(frame, silence)| t::PATH_WEIGHT * (frame.near(place, 1.5, 0.0) - silence))
        .collect();
    scored::confidence(Some(&looks), |margin| *margin)
}

/// Robust centre of the pitch between two times: the median of the frames of its middle part,
/// its standard uncertainty in cents and the part's bounds.
#[must_use]
pub fn centre(track: &Track, from_s: f64, to_s: f64) -> Option<(f64, f64, (f64, f64))> {
    let length = to_s - from_s;
    let trim = (0.2 * length).min(0.04);
    let steady = (from_s + trim, to_s - trim);
    let (_, frames) = track.between(steady.0, steady.1);
    let mut cents: Vec<f64> = frames
        .iter()
        .filter(|f| f.sounds())
        .map(|f| 1200.0 * f.hz.log2())
        .collect();
    let middle = median(&mut cents)?;
    let mut away: Vec<f64> = cents.iter().map(|c| (c - middle).abs()).collect();
    let deviation = 1.4826 * median(&mut away)?;
    let independent = (cents.len() as f64 * t::FINE_STEP_S / t::INDEPENDENT_S).max(1.0);
    let noise = frames
        .iter()
        .map(|f| f64::from(f.cents_uncertainty))
        .fold(0.0, f64::max);
    let uncertainty = 1.2533 * (deviation.max(noise) / independent.sqrt()).max(0.02);
    Some(((middle / 1200.0).exp2(), uncertainty, steady))
}

/// When the energy of a note that begins near `near_s` comes up.
#[must_use]
pub fn onset(analysis: &Analysis, near_s: f64, hz: f64, level_db: f64) -> f64 {
    let step = 0.001;
    let level = |s: f64| analysis.level_db(s, hz);
    // From a moment inside the note back to where the level has fallen or begins to rise again.
    let mut at = near_s + 0.03;
    let mut lowest = level(at);
    let mut lowest_at = at;
    let floor = (level_db - t::ONSET_UNDER_DB)
        .max(analysis.noise_db.min(analysis.quietest_db) + t::SOUND_OVER_NOISE_DB);
    let end = (near_s - 0.12).max(0.0);
    while at > end {
        let now = level(at);
        if now < floor {
            return at;
        }
        if now < lowest {
            (lowest, lowest_at) = (now, at);
        } else if now > lowest + t::ATTACK_DIP_DB / 2.0 && lowest < level_db - t::ATTACK_DIP_DB {
            break;
        }
        at -= step;
    }
    lowest_at.max(0.0)
}
