//! When the energy of a note comes up.

use crate::analysis::Analysis;
use crate::thresholds as t;

/// When the energy of a note that begins near `near_s` and is done by `to_s` comes up to
/// [`t::ONSET_UNDER_DB`] under the note's loudest moment, `loudest_db`.
#[must_use]
pub fn onset(analysis: &Analysis, near_s: f64, to_s: f64, hz: f64, loudest_db: f64) -> f64 {
    let step = 0.001;
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
            at += step;
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
        } else if rises {
            // A rise shorter than any note is this note's own false start.
            if at < lowest_at - t::SHORTEST_NOTE_S {
                break;
            }
        } else if now < lowest {
            (lowest, lowest_at) = (now, at);
        } else {
            rises = now > lowest + t::ATTACK_DIP_DB / 2.0 && lowest < loudest_db - t::ATTACK_DIP_DB;
        }
        at -= step;
    }
    lowest_at.max(0.0)
}
