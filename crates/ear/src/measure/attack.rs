//! How a note begins: time to the settled pitch, scoop, and a partial that sounds first.

use super::table::Definition;
use super::view::Moment;
use super::{View, stats};
use crate::heard::Frame;
use crate::report::OtherPartial;
use crate::{Measure, TubePartial, WhyNot};

/// The time.
pub const ATTACK: Definition = Definition {
    id: "attack_ms",
    name: "attack",
    unit: "ms",
    what: "from the onset of the sound's energy to the moment after which the pitch stays within \
           25 cents of the note for 50 ms",
    window: "from the onset to 400 ms after it, or half of the note",
    limits: "not for a note that is slurred into; unsettled when it does not settle in the window",
    chosen_by: "reasoning: 25 cents is about twice the deviation that passes for in tune in a \
                melody (10 to 15 cents); 50 ms is longer than one window of the track; not yet \
                by experiment",
};

/// The scoop.
pub const SCOOP: Definition = Definition {
    id: "scoop_cents",
    name: "scoop",
    unit: "cents",
    what: "pitch of the first 30 ms that have one, against the steady part; below is negative",
    window: "the first frames with a pitch within 80 ms of the onset",
    limits: "not for a note that is slurred into; at least three frames",
    chosen_by: "30 ms is one window of the track for pitches from 170 Hz up; below, the window is \
                longer and sees a later pitch: the interval is wider by how fast the pitch moves \
                over 15 % of the window, with which 97 % hold the truth, without it 90 % \
                (tests/edges_coverage.rs, seeds 11 to 14)",
};

/// The chip.
pub const CHIPPED: Definition = Definition {
    id: "chipped",
    name: "chipped attack",
    unit: "ms",
    what: "another partial of the tube (within 50 cents of it, 70 cents or more from the note) \
           that sounds for 15 ms or more before the note",
    window: "from 30 ms before the onset to 250 ms after it",
    limits: "not for a note that is slurred into",
    chosen_by: "15 ms as for slurs; 70 cents: nearer is a scoop",
};

/// The pitch counts as settled within this, cents.
const SETTLED_CENTS: f64 = 25.0;
/// And must stay there this long, seconds.
const STAYS_S: f64 = 0.05;
/// Longest time looked at, seconds.
const WINDOW_S: f64 = 0.4;
/// Length of the start whose pitch is the scoop, and how late it may begin, seconds.
const SCOOP_S: (f64, f64) = (0.03, 0.08);
/// Shortest window of the track, seconds, and in periods.
const TRACK_S: f64 = 0.023;
const TRACK_PERIODS: f64 = 5.5;
/// By this share of a window the pitch of a start may be that of a later moment.
const LATER: f64 = 0.15;
/// A partial that sounds first holds at least this long, seconds.
const CHIP_S: f64 = 0.015;
/// It lies within this of the tube's place, and this far from the note, cents.
const CHIP_CENTS: (f64, f64) = (50.0, 70.0);
/// Where it is looked for, seconds round the onset.
const CHIP_WINDOW_S: (f64, f64) = (0.03, 0.25);
/// Standard uncertainty of the onset: the level's window (8 ms) as a rectangle, seconds.
const ONSET_S: f64 = 0.0046;

/// Measures the time.
#[must_use]
pub fn attack(view: &View<'_>) -> Measure {
    if view.note.slurred {
        return Measure::unknown(WhyNot::Slurred);
    }
    let onset = view.note.onset_s;
    let length = (view.note.offset_s - onset) / 2.0;
    let to = onset + WINDOW_S.min(length.max(0.0));
    let step = view.take.heard.track.step_s;
    let (start, frames) = view.take.heard.track.between(onset, to + STAYS_S);
    let stays = (STAYS_S / step.max(1e-4)).ceil() as usize;
    let near =
        |f: &Frame| f.sounds() && (1200.0 * (f.hz / view.note.hz).log2()).abs() < SETTLED_CENTS;
    let settled = frames
        .windows(stays.max(1))
        .position(|stretch| stretch.iter().all(near));
    match settled {
        Some(at) if start + at as f64 * step <= to => {
            let time = start + at as f64 * step - onset;
            let uncertainty = ONSET_S.hypot(step / 12.0_f64.sqrt());
            Measure::known(1_000.0 * time.max(0.0), 1_000.0 * uncertainty)
        }
        _ if frames.len() < stays => Measure::unknown(WhyNot::TooShort),
        _ => Measure::unknown(WhyNot::Unsettled),
    }
}

/// Measures the scoop.
#[must_use]
pub fn scoop(view: &View<'_>) -> Measure {
    if view.note.slurred {
        return Measure::unknown(WhyNot::Slurred);
    }
    let onset = view.note.onset_s;
    let found = view.moments(onset, onset + SCOOP_S.0 + SCOOP_S.1);
    let Some(first) = found.first().filter(|m| m.at_s - onset <= SCOOP_S.1) else {
        return Measure::unknown(WhyNot::TooNoisy);
    };
    let of = |from_s: f64, to_s: f64| -> Vec<Moment> {
        let inside = |m: &&Moment| (from_s..=to_s).contains(&(m.at_s - first.at_s));
        found.iter().filter(inside).copied().collect()
    };
    let cents = |moments: &[Moment]| -> Vec<f64> { moments.iter().map(|m| m.cents).collect() };
    let start = of(0.0, SCOOP_S.0);
    let next = stats::median(&cents(&of(SCOOP_S.0, 2.0 * SCOOP_S.0)));
    let cents = cents(&start);
    let (Some(value), true) = (stats::median(&cents), cents.len() >= 3) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    // The frames share one window: their errors are taken as one error.
    let frame = start.iter().map(|m| m.uncertainty).sum::<f64>() / start.len() as f64;
    let spread = stats::robust_deviation(&cents).unwrap_or(0.0) / (cents.len() as f64).sqrt();
    // Windows that begin before the sound see the pitch of a later moment, longer ones of one later
    // still.
    let slope = next.map_or(0.0, |next| (value - next) / SCOOP_S.0);
    let smeared = LATER * slope * TRACK_S.max(TRACK_PERIODS / view.note.hz);
    Measure::known(
        value,
        frame
            .hypot(spread)
            .hypot(smeared)
            .hypot(view.note.cents_uncertainty)
            .max(0.3),
    )
}

/// Finds the partial that sounds first.
#[must_use]
pub fn chipped(view: &View<'_>) -> Option<OtherPartial> {
    let asked = view.asked()?;
    if view.note.slurred {
        return None;
    }
    let onset = view.note.onset_s;
    let step = view.take.heard.track.step_s;
    // A note just before is not a chip of this one.
    let earliest = view.before.map_or(0.0, |before| before.offset_s + step);
    let from = (onset - CHIP_WINDOW_S.0).max(earliest);
    let (start, frames) = view.take.heard.track.between(from, onset + CHIP_WINDOW_S.1);
    let cents = |a: f64, b: f64| (1200.0 * (a / b).log2()).abs();
    let other = |f: &Frame| -> Option<TubePartial> {
        let away = f.sounds() && cents(f.hz, view.note.hz) > CHIP_CENTS.1;
        let mut near = asked
            .tube
            .iter()
            .filter(|p| cents(p.hz, f.hz) < CHIP_CENTS.0);
        // The octave below is how a weak start looks to any pitch tracker, not a partial.
        (away && cents(f.hz * 2.0, view.note.hz) > CHIP_CENTS.0)
            .then(|| near.next().copied())
            .flatten()
    };
    let mut run: Option<(usize, usize, TubePartial)> = None;
    for (i, frame) in frames.iter().enumerate() {
        match (other(frame), &mut run) {
            (Some(tube), Some((_, length, known))) if tube.partial == known.partial => *length += 1,
            (Some(tube), _) => run = Some((i, 1, tube)),
            (None, Some((_, length, _))) if *length as f64 * step >= CHIP_S => break,
            (None, _) => run = None,
        }
    }
    let (at, length, tube) = run?;
    let held = length as f64 * step;
    (held >= CHIP_S).then(|| OtherPartial {
        tube,
        held_ms: Measure::known(1_000.0 * held, 1_000.0 * step),
        from_s: start + at as f64 * step,
        confidence: view.note.confidence,
    })
}
