//! How a note ends: the time its sound takes to go, and where its pitch goes.

use super::table::Definition;
use super::{View, stats};
use crate::{Measure, WhyNot};

/// The time.
pub const RELEASE: Definition = Definition {
    id: "release_ms",
    name: "release",
    unit: "ms",
    what: "time from 3 dB to 20 dB below the level of the steady part",
    window: "from the end of the steady part to the next onset, 10 ms levels",
    limits: "not when slurred on; cut when the next note comes first; too noisy when the noise is \
             less than 23 dB below; covered by echo when the room's own decay takes as long",
    chosen_by: "20 dB leaves 3 dB to the noise of a take that stands 23 dB above it; a room of \
                RT 0.5 s takes 142 ms for these 17 dB by itself",
};

/// The sag.
pub const SAG: Definition = Definition {
    id: "sag_cents",
    name: "sag",
    unit: "cents",
    what: "pitch of the last 60 ms before the level has fallen 10 dB, against the steady part",
    window: "the last 60 ms that still sound",
    limits: "not when slurred on; at least four frames",
    chosen_by: "reasoning: 60 ms is two windows of the track; below -10 dB the echo of a room \
                has more to say than the player; not yet by experiment",
};

/// Levels below the steady part that begin and end the release, dB.
const FALL_DB: (f64, f64) = (3.0, 20.0);
/// The noise must lie this much further down, dB.
const OVER_NOISE_DB: f64 = 3.0;
/// Step of the level, seconds.
const STEP_S: f64 = 0.01;
/// Longest release looked for, seconds.
const LONGEST_S: f64 = 2.0;
/// A release within this factor of the room's own decay is the room's.
const ECHO: f64 = 1.3;
/// Shortest reverberation time that is a room's, seconds: where all decays are faster they are the
/// player's own releases (common practice, no source: furnished small rooms have 0.3 s or more).
const ROOM_LEAST_S: f64 = 0.2;
/// Length of the end, seconds, and how far down it reaches, dB.
const END_S: f64 = 0.06;
const END_DB: f64 = 10.0;

/// Measures the time.
#[must_use]
pub fn release(view: &View<'_>) -> Measure {
    if view.slurred_out() {
        return Measure::unknown(WhyNot::Slurred);
    }
    let k = &view.take.k;
    let (from, steady_to) = view.note.steady_s;
    let Some(steady) = k.level_db(from, steady_to) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    if view.note.level_db - view.take.heard.noise_db < FALL_DB.1 + OVER_NOISE_DB {
        return Measure::unknown(WhyNot::TooNoisy);
    }
    let end = view
        .after
        .map_or(view.take.heard.seconds, |next| next.onset_s);
    let last = end.min(view.note.offset_s + LONGEST_S);
    let levels: Vec<f64> = k.levels(steady_to, last, STEP_S).collect();
    let begin = levels
        .iter()
        .rposition(|level| *level >= steady - FALL_DB.0)
        .map_or(0, |i| i + 1);
    let Some(fallen) = levels
        .iter()
        .skip(begin)
        .position(|level| *level <= steady - FALL_DB.1)
    else {
        return Measure::unknown(WhyNot::Cut);
    };
    let time = (fallen as f64).max(0.5) * STEP_S;
    let own = view
        .take
        .heard
        .reverb_s
        .value()
        .filter(|rt| *rt > ROOM_LEAST_S)
        .map(|rt| rt * (FALL_DB.1 - FALL_DB.0) / 60.0);
    if own.is_some_and(|own| own > 2.0 * STEP_S && time < ECHO * own) {
        return Measure::unknown(WhyNot::TooEchoing);
    }
    // Both ends are rounded to a step.
    Measure::known(1_000.0 * time, 1_000.0 * STEP_S / 6.0_f64.sqrt())
}

/// Measures the sag.
#[must_use]
pub fn sag(view: &View<'_>) -> Measure {
    if view.slurred_out() {
        return Measure::unknown(WhyNot::Slurred);
    }
    let k = &view.take.k;
    let (from, steady_to) = view.note.steady_s;
    let Some(steady) = k.level_db(from, steady_to) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    let mut end = view.note.offset_s;
    while end > steady_to
        && k.level_db(end - STEP_S, end)
            .is_none_or(|l| l < steady - END_DB)
    {
        end -= STEP_S;
    }
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
