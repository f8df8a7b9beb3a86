//! When a player stops and only the room goes on.
//!
//! A dying room is not the player's sound. The level tells little of where the one ends and the
//! other begins: a single tone's echo may be as loud as the tone, and beats. But the direct sound
//! has one phase and the echo of each harmonic another. Turned against the note's own pitch, each
//! harmonic is a phasor that stands still while the note is held; when the player stops it moves by
//! the whole direct sound, within the release; after that it only drifts as the echo dies
//! (exponential decay of a diffuse field: Polack, as used by Lebart, Boucher & Denbigh, Acta
//! Acustica 87 (2001) 359: in 50 ms by a fifth of its power at 1.2 s). So the stop is where the
//! phasors together move most and lose most power.

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::heard::{Frame, HeardNote, Track};
use crate::pitch::phasor::{self, BLOCK};
use crate::thresholds as t;

/// Step of the search, seconds.
const STEP_S: f64 = 0.0025;
/// Most harmonics that are looked at, and up to where, hertz.
const HARMONICS: usize = 12;
const TOP_HZ: f64 = 3_000.0;
/// Shortest window of a phasor, seconds, and in periods, so that harmonics stand apart.
const WINDOW_S: f64 = 0.02;
const WINDOW_PERIODS: f64 = 3.0;
/// Movement is taken from this long before a moment to this long after it, seconds (and a quarter
/// of the window more): with it most of a release of 70 ms lies between.
const REACH_S: f64 = 0.025;
/// How far before and after the last moment of full level the stop is looked for, seconds.
const BEFORE_S: f64 = 0.25;
const AFTER_S: f64 = 0.15;
/// A note has begun this long after its onset, seconds.
const BEGUN_S: f64 = 0.02;
/// What dies after a stop is looked at for no less and no more than this, and through levels of this
/// length, seconds: in less time a room's echo beats by as much as it dies.
const DYING_LEAST_S: f64 = 0.35;
const DYING_LOOK_S: f64 = 0.6;
const DYING_WINDOW_S: f64 = 0.04;
/// A note's level is that of so much of its steady part, seconds, ...
const STEADY_S: f64 = 0.2;
/// ... and the earlier of two last moments of full level counts when it lies no further before the other, seconds.
const EARLIER_S: f64 = 0.5;
/// Full level: no further than this under the steady part's, dB.
const FULL_DB: f64 = 3.0;

/// Ends the notes, and the sounding frames of the track, where the player stops. A slow fade has no
/// such moment and stays as it is.
pub(crate) fn stops(analysis: &Analysis, track: &mut Track, notes: &mut [HeardNote]) {
    let seconds = track.step_s * track.frames.len() as f64;
    for i in 0..notes.len() {
        let next = notes.get(i + 1).cloned();
        let Some(note) = notes.get_mut(i) else {
            continue;
        };
        if next.as_ref().is_some_and(|n| n.slurred) {
            continue;
        }
        let until = next.as_ref().map_or(seconds, |n| n.onset_s);
        let Some(stop_s) = stop(analysis, track, note, until) else {
            continue;
        };
        if stop_s < note.offset_s && dies(analysis, stop_s, until) {
            note.offset_s = stop_s;
            note.steady_s.1 = note.steady_s.1.min(stop_s);
            silence(track, note, until);
        }
    }
}

/// True when what is heard after a stop dies as a room does; a player who goes on softly does not.
fn dies(analysis: &Analysis, stop_s: f64, until: f64) -> bool {
    let from = stop_s + DYING_WINDOW_S;
    let to = (until - DYING_WINDOW_S).min(from + DYING_LOOK_S);
    let level = |at: f64| analysis.levels.db(at, at + DYING_WINDOW_S);
    if to - from < DYING_LEAST_S {
        return !stops_later(&level, stop_s, to);
    }
    let end = level(to - DYING_WINDOW_S);
    let falls = (level(from) - end) / (to - from - DYING_WINDOW_S);
    falls >= t::STOP_DIES_DB_S || end < analysis.noise_db + t::ONSET_OVER_NOISE_DB
}

/// True when what goes on after a stop neither dies nor comes back but stops itself, far more suddenly:
/// all that there is time to tell before `to`.
fn stops_later(level: &impl Fn(f64) -> f64, stop_s: f64, to: f64) -> bool {
    let from = stop_s + DYING_WINDOW_S;
    let fall = level(stop_s - DYING_WINDOW_S) - level(from) + t::STOP_SUDDEN_DB;
    let steps = ((to - from) / STEP_S).max(0.0) as usize;
    let levels: Vec<f64> = (0..steps)
        .map(|k| level(from + k as f64 * STEP_S))
        .collect();
    let apart = (2.0 * DYING_WINDOW_S / STEP_S).round() as usize;
    let first = levels.first().copied().unwrap_or(f64::MAX);
    let mut loudest_after = f64::MIN;
    levels.iter().enumerate().rev().any(|(k, now)| {
        loudest_after = loudest_after.max(*now);
        let before = k.checked_sub(apart).and_then(|b| levels.get(b));
        before.is_some_and(|before| *before > first && before - loudest_after > fall)
    })
}

/// Takes the room's frames after a note, up to the next one, out of the track: those of its pitch,
/// and others that are no louder than what has died before.
fn silence(track: &mut Track, note: &HeardNote, until: f64) {
    let place = |s: f64| (s / track.step_s.max(1e-6)).ceil().max(0.0) as usize;
    let (from, to) = (place(note.offset_s), place(until).min(track.frames.len()));
    let mut low = f32::MAX;
    for frame in track.frames.get_mut(from..to.max(from)).unwrap_or(&mut []) {
        low = low.min(frame.level_db);
        let near = (1200.0 * (frame.hz / note.hz).log2()).abs() < t::NOTE_BAND_CENTS;
        let dying = frame.level_db < low + t::STOP_RISE_DB;
        if frame.sounds() && (near || dying) {
            *frame = Frame {
                level_db: frame.level_db,
                ..Frame::default()
            };
        }
    }
}

/// When the player stops a note that nothing follows before `until`; `None` where no moment stands out.
fn stop(analysis: &Analysis, track: &Track, note: &HeardNote, until: f64) -> Option<f64> {
    let window_s = WINDOW_S.max(WINDOW_PERIODS / note.hz);
    let reach = ((REACH_S + window_s / 4.0) / STEP_S).round() as usize;
    let (first_full, full) = full_to(analysis, note);
    let edge_s = reach as f64 * STEP_S + window_s / 2.0;
    // Nothing is compared with what lies before the note: the old note's going is no stop.
    let from_s = (first_full - BEFORE_S - edge_s).max(note.onset_s + BEGUN_S);
    let to_s = (full + AFTER_S + edge_s).min(until - 0.01);
    let phasors = held(analysis, track, note, (from_s, to_s), window_s);
    let powers = phasor::powers(&phasors);
    let whole = crate::free::median(&mut powers.get(..reach.min(powers.len()))?.to_vec())?;
    if whole <= 0.0 {
        return None;
    }
    // What is lost never comes back: held against the loudest of all that follows.
    let mut loudest = vec![0.0_f64; powers.len()];
    let mut most = 0.0_f64;
    for (slot, power) in loudest.iter_mut().zip(&powers).rev() {
        most = most.max(*power);
        *slot = most;
    }
    let lost = |k: usize| {
        let pair = powers.get(k).zip(loudest.get(k + 2 * reach));
        pair.map_or(0.0, |(before, after)| before - after)
    };
    let leaving: Vec<(f64, f64)> = phasor::leaving(&phasors, reach)
        .iter()
        .enumerate()
        .map(|(k, (moved, _))| (moved / whole, lost(k) / whole))
        .collect();
    let moved: Vec<f64> = leaving.iter().map(|(moved, lost)| moved + lost).collect();
    let most = moved.iter().copied().fold(0.0, f64::max);
    // The last of equals: what moves before it is the player's own.
    let peak = (0..moved.len()).rev().find(|k| {
        let here = moved.get(*k).copied().unwrap_or(0.0);
        let beside = |j: Option<usize>| j.and_then(|j| moved.get(j)).copied().unwrap_or(0.0);
        here >= t::STOP_EQUALS * most
            && here >= beside(k.checked_sub(1))
            && here >= beside(Some(k + 1))
    })?;
    leaving.get(peak).filter(|(moved, lost)| {
        let gone = *moved >= t::STOP_MOVES && *lost >= t::STOP_LOSES;
        gone || (analysis.echo_held && *moved >= t::STOP_TURNS && *lost >= 0.0)
    })?;
    let middle_s = from_s + (peak + reach) as f64 * STEP_S + window_s / 2.0;
    let stop_s = middle_s + t::STOP_AFTER_S;
    (stop_s > note.onset_s + t::SHORTEST_NOTE_S).then_some(stop_s)
}

/// The last moments at which a note has the level of the beginning and of the end of its steady part: that
/// of a short note may reach into the room's echo.
fn full_to(analysis: &Analysis, note: &HeardNote) -> (f64, f64) {
    let (from, to) = note.steady_s;
    let begin = analysis.levels.db(from, (from + STEADY_S).min(to));
    let end = analysis.levels.db((to - STEADY_S).max(from), to);
    let last = |steady_db: f64, mut at: f64| {
        while at > from && analysis.level_db(at, note.hz) < steady_db - FULL_DB {
            at -= STEP_S;
        }
        at
    };
    let full = last(end, note.offset_s);
    if !analysis.echo_held {
        return (full, full);
    }
    (last(begin.max(end), full).max(full - EARLIER_S), full)
}

/// The phasors of a note's harmonics every [`STEP_S`], turned against its pitch as it was heard; the
/// first over the window that begins at `span.0`.
fn held(
    analysis: &Analysis,
    track: &Track,
    note: &HeardNote,
    span: (f64, f64),
    window_s: f64,
) -> Vec<Vec<Complex64>> {
    let rate = analysis.sound.rate;
    let place = |s: f64| (s.max(0.0) * rate).round() as usize;
    let sound = &analysis.sound.data;
    let (from, to) = (place(span.0), place(span.1).min(sound.len()));
    let Some(sound) = sound.get(from..to.max(from)) else {
        return Vec::new();
    };
    let near = |hz: f64| (1200.0 * (hz / note.hz).log2()).abs() < t::NOTE_BAND_CENTS;
    let mut last = note.hz;
    let pitches: Vec<f64> = (0..=sound.len() / BLOCK)
        .map(|block| {
            let frame = track.at((from + block * BLOCK) as f64 / rate);
            if let Some(frame) = frame.filter(|f| near(f.hz)) {
                last = frame.hz;
            }
            last / rate
        })
        .collect();
    let count = ((TOP_HZ.min(0.4 * rate) / note.hz) as usize).clamp(1, HARMONICS);
    let orders: Vec<usize> = (1..=count).collect();
    let turns = |block: usize| pitches.get(block).copied().unwrap_or(0.0);
    let size = (window_s * rate).round() as usize;
    phasor::phasors(sound, turns, &orders, size, STEP_S * rate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Samples;

    /// Silence, a tone from 0.5 to 1.5 s, and what is left of it so many seconds later.
    fn after(left: impl Fn(f64) -> f64) -> Analysis {
        let rate = 22_050.0;
        let tone = |n: usize| {
            let s = n as f64 / rate;
            let size = match s {
                s if s < 0.5 => 0.0,
                s if s < 1.5 => 0.5,
                s => 0.5 * left(s - 1.5),
            };
            (size * (std::f64::consts::TAU * 466.16 * s).sin()) as f32
        };
        Analysis::new(&Samples::new(
            rate,
            (0..55_000).map(tone).collect::<Vec<_>>(),
        ))
    }

    #[test]
    fn a_soft_tail_that_stands_is_the_player_and_a_dying_one_the_room() {
        assert!(!dies(&after(|_| 0.2), 1.5, 2.4));
        // 60 dB in 1.2 s.
        assert!(dies(&after(|s| 0.7 * 10_f64.powf(-2.5 * s)), 1.5, 2.4));
        assert!(dies(&after(|_| 0.0), 1.5, 2.4));
    }
}
