//! How a note ends: the time its sound takes to go, and where its pitch goes.

use super::fall::{Crossing, Fall};
use super::table::Definition;
use super::{View, stats};
use crate::{Measure, WhyNot};

/// The time.
pub const RELEASE: Definition = Definition {
    id: "release_ms",
    name: "release",
    unit: "ms",
    what: "time from 3 dB to 20 dB below the K-weighted level that the note was held at",
    window: "the held level over the last 300 ms before the fall; the fall up to the next onset, \
             seen through 10 ms or one period, the window's own spread and the noise taken off",
    limits: "not when slurred on; cut when the next note comes first; too noisy when the noise is \
             less than 23 dB below; covered by echo when the room's own decay takes as long",
    chosen_by: "20 dB leaves 3 dB to the noise of a take that stands 23 dB above it; a room of \
                RT 0.5 s takes 142 ms for these 17 dB by itself; tests/edges_coverage.rs asks that \
                the interval covers the truth: taken from the end of the steady part on, which \
                may lie 12 dB down, times were 22 ms short",
};

/// The sag.
pub const SAG: Definition = Definition {
    id: "sag_cents",
    name: "sag",
    unit: "cents",
    what: "pitch of the last 60 ms before the level has fallen 6 dB, against the steady part",
    window: "the last 60 ms before that moment",
    limits: "not when slurred on; at least four frames",
    chosen_by: "60 ms is two windows of the track; 6 dB is the middle of a fade, at which the \
                player's stop is heard in a room too: with 10 dB slow fades end later than the \
                track, and 83 % of the intervals held the truth, with 6 dB 97 % \
                (tests/edges_coverage.rs, seeds 11 to 14)",
};

/// Levels below the held note that begin and end the release, dB.
const FALL_DB: (f64, f64) = (3.0, 20.0);
/// The noise must lie this much further down, dB.
const OVER_NOISE_DB: f64 = 3.0;
/// Longest release looked for, seconds.
const LONGEST_S: f64 = 2.0;
/// A release within this factor of the room's own decay is the room's.
const ECHO: f64 = 1.3;
/// Shortest reverberation time that is a room's, seconds: where all decays are faster they are the
/// player's own releases (common practice, no source: furnished small rooms have 0.3 s or more).
const ROOM_LEAST_S: f64 = 0.2;
/// Length of the end that the sag is taken of, seconds, and how far down it reaches, dB.
const END_S: f64 = 0.06;
const END_DB: f64 = 6.0;

/// Measures the time.
#[must_use]
pub fn release(view: &View<'_>) -> Measure {
    if view.slurred_out() {
        return Measure::unknown(WhyNot::Slurred);
    }
    let heard = view.take.heard;
    if view.note.level_db - heard.noise_db < FALL_DB.1 + OVER_NOISE_DB {
        return Measure::unknown(WhyNot::TooNoisy);
    }
    let Some((begin, fallen, spread)) = fall(view, FALL_DB) else {
        return Measure::unknown(WhyNot::Cut);
    };
    let time = fallen.at_s - begin.at_s;
    let own = heard
        .reverb_s
        .value()
        .filter(|rt| *rt > ROOM_LEAST_S)
        .map(|rt| rt * (FALL_DB.1 - FALL_DB.0) / 60.0);
    if own.is_some_and(|own| time < ECHO * own) {
        return Measure::unknown(WhyNot::TooEchoing);
    }
    // The held level moves both ends, each end's own level it alone.
    let uncertainty = (spread * (1.0 / begin.slope - 1.0 / fallen.slope))
        .hypot(begin.uncertainty_s())
        .hypot(fallen.uncertainty_s());
    Measure::known(1_000.0 * time.max(0.0), 1_000.0 * uncertainty)
}

/// Where the level comes so far below what the note was held at.
fn fall(view: &View<'_>, below_db: (f64, f64)) -> Option<(Crossing, Crossing, f64)> {
    let heard = view.take.heard;
    let (from, steady_to) = view.note.steady_s;
    let end = view.after.map_or(heard.seconds, |next| next.onset_s);
    let last = end.min(view.note.offset_s + LONGEST_S);
    Fall::new(&view.take.k, (from, last), view.note.hz)?.below(steady_to, below_db)
}

/// Measures the sag.
#[must_use]
pub fn sag(view: &View<'_>) -> Measure {
    if view.slurred_out() {
        return Measure::unknown(WhyNot::Slurred);
    }
    let Some((_, end, _)) = fall(view, (FALL_DB.0, END_DB)) else {
        return Measure::unknown(WhyNot::Cut);
    };
    let end = end.at_s;
    let moments = view.moments(end - END_S, end);
    let cents: Vec<f64> = moments.iter().map(|m| m.cents).collect();
    let (Some(value), true) = (stats::median(&cents), cents.len() >= 4) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    let frame = moments.iter().map(|m| m.uncertainty).sum::<f64>() / cents.len() as f64;
    // Two windows of the track fit into the end; a median of normal errors costs 1.25.
    let uncertainty = 1.25 * frame / 2.0_f64.sqrt();
    Measure::known(
        value,
        uncertainty.hypot(view.note.cents_uncertainty).max(0.2),
    )
}
