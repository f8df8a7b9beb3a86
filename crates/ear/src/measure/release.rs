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
             less than 23 dB below; covered by echo when the room's own decay takes as long, or \
             when the next 15 dB take more than 45 % of its time",
    chosen_by: "20 dB leaves 3 dB to the noise of a take that stands 23 dB above it; a room of \
                RT 0.5 s takes 142 ms for these 17 dB by itself; tests/edges_coverage.rs asks that \
                the interval covers the truth: taken from the end of the steady part on, which \
                may lie 12 dB down, times were 22 ms short; of a raised cosine's fade the \
                next 15 dB take 0.28, of an exponential decay 0.88; of 240 lone notes in a room of \
                0.5 s 8 are told a release, all were before this was asked, by 79 ms too long (median); \
                45 rather than 40 % because of 240 dry ones 235 are told then, not 227",
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
                (tests/edges_coverage.rs, seeds 11 to 14); where the release lingers as a room does the \
                interval is 2.5 times as wide: 68 % of those in a room of 0.5 s held the truth, now 89 %",
};

/// Levels below the held note that begin and end the release, dB.
const FALL_DB: (f64, f64) = (3.0, 20.0);
/// The noise must lie this much further down, dB.
const OVER_NOISE_DB: f64 = 3.0;
/// Longest release looked for, seconds.
const LONGEST_S: f64 = 2.0;
/// A release within this factor of the room's own decay is the room's.
const ECHO: f64 = 1.3;
/// A release is a room's too when the next so many dB take more than this share of its time: of a raised cosine's fade
/// they take 0.28, of an exponential decay 0.88.
const LEFT_DB: f64 = 15.0;
const LINGERS: f64 = 0.45;
/// Shortest reverberation time that is a room's, seconds: where all decays are faster they are the
/// player's own releases (common practice, no source: furnished small rooms have 0.3 s or more).
const ROOM_LEAST_S: f64 = 0.2;
/// Length of the end that the sag is taken of, seconds, and how far down it reaches, dB.
const END_S: f64 = 0.06;
const END_DB: f64 = 6.0;
/// In a room the note's own echo, whose pitch is an earlier one, makes it so much less sure.
const IN_ECHO: f64 = 2.5;

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
    if own.is_some_and(|own| time < ECHO * own) || lingers(view) {
        return Measure::unknown(WhyNot::TooEchoing);
    }
    // The held level moves both ends, each end's own level it alone.
    let uncertainty = (spread * (1.0 / begin.slope - 1.0 / fallen.slope))
        .hypot(begin.uncertainty_s())
        .hypot(fallen.uncertainty_s());
    Measure::known(1_000.0 * time.max(0.0), 1_000.0 * uncertainty)
}

/// True when what is left after the release takes about as long to die as the release took: a player's fade ends, a
/// room's goes on.
fn lingers(view: &View<'_>) -> bool {
    let lasts = |below_db| fall(view, below_db).map(|(begin, end, _)| end.at_s - begin.at_s);
    let left = lasts((FALL_DB.1, FALL_DB.1 + LEFT_DB));
    left.zip(lasts(FALL_DB))
        .is_some_and(|(left, release)| left > LINGERS * release)
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
    let own = 1.25 * frame / 2.0_f64.sqrt();
    let uncertainty = own.hypot(view.note.cents_uncertainty).max(0.2);
    let echo = if lingers(view) { IN_ECHO } else { 1.0 };
    Measure::known(value, echo * uncertainty)
}
