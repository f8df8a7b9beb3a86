//! Free hearing: notes from the track alone, without knowing what was to be played.

mod cut;
mod ground;
mod onset;

pub use onset::onset;

use crate::analysis::Analysis;
use crate::free::cut::Stretch;
use crate::heard::{Frame, HeardNote, Match, Track};
use crate::measure::stats::middle;
use crate::measured::{Measure, WhyNot};
use crate::pitch::gather::{strays, thickest};
use crate::pitch::path::best_path;
use crate::pitch::track::track;
use crate::signal::level::SILENCE_DB;
use crate::{scored, thresholds as t};

/// The path of the loudest pitch at coarse steps, hertz.
#[must_use]
pub fn path(analysis: &Analysis) -> Vec<Option<f64>> {
    let places = best_path(&analysis.salience, &analysis.silence, analysis.grid.count());
    let mut path: Vec<Option<f64>> = places
        .into_iter()
        .map(|place| place.map(|p| analysis.grid.hz(p)))
        .collect();
    ground::bridge(analysis, &mut path);
    ground::ground(analysis, &mut path);
    path
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
    cut::stretches(track)
        .iter()
        .filter_map(|s| note(analysis, track, *s))
        .collect()
}

/// The middle value.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    middle(values)
}

fn note(analysis: &Analysis, track: &Track, stretch: Stretch) -> Option<HeardNote> {
    let (from_s, to_s) = (
        stretch.from as f64 * track.step_s,
        stretch.to as f64 * track.step_s,
    );
    let (hz, uncertainty, steady_s) = centre(track, (from_s, to_s), analysis.echo_held)?;
    let level_db = analysis.levels.db(steady_s.0, steady_s.1);
    let onset_s = if stretch.joined {
        from_s
    } else {
        onset(analysis, from_s, to_s, hz, loudest_db(track, from_s, to_s))
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

/// Robust centre of the pitch between two times: the median of the frames of its steady part (not
/// its first and last 40 ms, nor what dies away after it),
/// its standard uncertainty in cents and the part's bounds. In echo moments that stray do not count.
#[must_use]
pub fn centre(
    track: &Track,
    (from_s, to_s): (f64, f64),
    in_echo: bool,
) -> Option<(f64, f64, (f64, f64))> {
    let length = to_s - from_s;
    let trim = (0.2 * length).min(0.04);
    let (first_s, whole) = track.between(from_s + trim, to_s - trim);
    let loudest = loudest_of(whole) - t::STEADY_UNDER_DB;
    let last = whole
        .iter()
        .rposition(|f| f64::from(f.level_db) >= loudest)?;
    let frames = whole.get(..=last).unwrap_or(whole);
    let steady = (
        from_s + trim,
        (first_s + (last + 1) as f64 * track.step_s).min(to_s - trim),
    );
    let most = if in_echo { thickest(frames) } else { None };
    let mut cents: Vec<f64> = frames
        .iter()
        .filter(|f| f.sounds() && most.is_none_or(|most| !strays(f, most)))
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

/// The loudest frame between two times, dB.
#[must_use]
pub fn loudest_db(track: &Track, from_s: f64, to_s: f64) -> f64 {
    loudest_of(track.between(from_s, to_s).1)
}

fn loudest_of(frames: &[Frame]) -> f64 {
    let levels = frames.iter().map(|f| f64::from(f.level_db));
    levels.fold(SILENCE_DB, f64::max)
}
