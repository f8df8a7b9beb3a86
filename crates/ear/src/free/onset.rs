//! When the energy of a note comes up.

use crate::analysis::Analysis;
use crate::thresholds as t;

/// Step of the search, seconds.
const STEP_S: f64 = 0.001;

/// When the energy of a note that begins near `near_s` and is done by `to_s` comes up to
/// [`t::ONSET_UNDER_DB`] under the note's loudest moment, `loudest_db`.
#[must_use]
pub fn onset(analysis: &Analysis, near_s: f64, to_s: f64, hz: f64, loudest_db: f64) -> f64 {
    let level = |s: f64| analysis.level_db(s, hz);
    let floor = (loudest_db - t::ONSET_UNDER_DB)
        .max(analysis.noise_db.min(analysis.quietest_db) + t::ONSET_OVER_NOISE_DB);
    // From a moment inside the note ...
    let mut at = near_s + 0.03;
    // ... on to where a slow swell comes up ...
    if level(at) < floor {
        while at < to_s {
            if level(at) >= floor {
                return at;
            }
            at += STEP_S;
        }
        return near_s;
    }
    // ... or back to where it has fallen, or begins to rise again towards the note before.
    let (mut lowest, mut lowest_at, mut rises) = (level(at), at, false);
    let mut fallen_at: Option<f64> = None;
    let end = (near_s - 0.12).max(0.0);
    while at > end {
        let now = level(at);
        if let Some(fell) = fallen_at {
            // What comes up once more before it, shorter and softer than any note, is the breath
            // or the lips before they speak.
            if now > floor + t::FALSE_START_DB {
                return fell;
            }
            if at < fell - t::SHORTEST_NOTE_S {
                return if now < floor { lowest_at } else { fell };
            }
            if now >= floor {
                lowest_at = at;
            }
        } else if now < floor {
            (fallen_at, lowest_at) = (Some(at), at);
        } else if now < lowest {
            // Below every dip that was passed: what came between them was this note's own way up.
            (lowest, lowest_at, rises) = (now, at, false);
        } else if rises {
            // A rise shorter than any note is this note's own false start.
            if at < lowest_at - t::SHORTEST_NOTE_S {
                break;
            }
        } else {
            rises = now > lowest + t::ATTACK_DIP_DB / 2.0 && lowest < loudest_db - t::ATTACK_DIP_DB;
        }
        at -= STEP_S;
    }
    // Where the take itself begins with the note there is no echo of one before.
    if fallen_at.is_none() && end > 0.0 {
        return risen(&level, lowest_at, near_s, to_s).unwrap_or(lowest_at.max(0.0));
    }
    lowest_at.max(0.0)
}

/// In the echo of what was before, which never falls below the floor, a note begins where the level
/// rises most; echo itself beats, but hardly ever by so much in so short a time. Looked for from
/// `lowest_s` to a while after `near_s`, but no further than `to_s`.
fn risen(level: &impl Fn(f64) -> f64, lowest_s: f64, near_s: f64, to_s: f64) -> Option<f64> {
    let last = (near_s + t::ONSET_ECHO_REACH_S).min(to_s);
    let steps = ((last - lowest_s) / STEP_S).max(0.0) as usize;
    let rise = |at: f64| level(at + t::ATTACK_RISE_S) - level(at - t::ATTACK_RISE_S);
    let (most, at) = (0..steps)
        .map(|k| lowest_s + k as f64 * STEP_S)
        .map(|at| (rise(at), at))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    if most < t::ONSET_ECHO_RISE_DB {
        return None;
    }
    // Back from the steepest place to the foot of the rise.
    let foot = level(at - t::ATTACK_RISE_S) + t::ONSET_ECHO_FOOT_DB;
    let back = (0..).map(|k| at - f64::from(k) * STEP_S);
    back.take_while(|s| *s > at - t::ATTACK_RISE_S)
        .find(|s| level(*s) < foot)
        .or(Some(at - t::ATTACK_RISE_S))
}
