//! When the old note is left and when the new one is there, each from its own harmonics.
//!
//! The harmonics that the two notes do not share, as phasors turned against the note's pitch: the
//! new note is there when the power of its own comes up to a fifth of what it settles at, whatever
//! echo the old one leaves elsewhere; the old note's direct sound is gone where its own phasors
//! together move most and lose most power (as in `room::stop`).

use crate::pitch::phasor;
use crate::slur::change::Change;
use crate::thresholds as t;

/// Step of the search, seconds.
const STEP_S: f64 = 0.0025;
/// Most harmonics, and up to where, hertz.
const HARMONICS: usize = 16;
const TOP_HZ: f64 = 4_000.0;
/// Shortest window, seconds, and in periods of the lower note.
const WINDOW_S: f64 = 0.02;
const WINDOW_PERIODS: f64 = 2.5;
/// A harmonic is a note's own when the other note has none within this: of the windows' bins, or
/// of the lower note's fundamental where windows are too short to keep them apart.
const OWN_BINS: f64 = 1.2;
const OWN_SHARE: f64 = 0.35;
/// Movement is taken from this long before a moment to this long after it, seconds.
const REACH_S: f64 = 0.01;
/// Length of the ends of the scene that give each note's own power, seconds.
const ENDS_S: f64 = 0.07;

/// The two moments, seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Edges {
    /// When the old note's direct sound goes.
    pub left_s: Option<f64>,
    /// When the new note is there.
    pub entered_s: Option<f64>,
}

impl Edges {
    /// Finds them in a sound that begins at `start_s`, for a change whose middle lies in `search`; a rate
    /// of twice `TOP_HZ` and some is enough.
    #[must_use]
    pub fn find(
        sound: &[f32],
        rate: f64,
        start_s: f64,
        search: (f64, f64),
        old_hz: f64,
        new_hz: f64,
    ) -> Self {
        let lowest = old_hz.min(new_hz).max(1.0);
        let window_s = WINDOW_S.max(WINDOW_PERIODS / lowest);
        let size = (window_s * rate).round() as usize;
        // The phasors of the first note's own harmonics between two times, and when the first of them is.
        let phasors = |hz: f64, other: f64, from_s: f64, to_s: f64| {
            let orders = own(hz, other, lowest, window_s);
            let place = |s: f64| ((s - start_s).max(0.0) * rate) as usize;
            let from = place(from_s - window_s / 2.0 - STEP_S).min(sound.len());
            let to = place(to_s + window_s / 2.0 + 2.0 * STEP_S).clamp(from, sound.len());
            let sound = sound.get(from..to).unwrap_or(&[]);
            let of = phasor::phasors(sound, |_| hz / rate, &orders, size, STEP_S * rate);
            (of, start_s + from as f64 / rate + window_s / 2.0)
        };
        let ends = (ENDS_S / STEP_S) as usize;
        let (of_new, first_s) = phasors(new_hz, old_hz, search.0, f64::MAX);
        let time = |step: usize| first_s + step as f64 * STEP_S;
        let powers = phasor::powers(&of_new);
        let settled = powers
            .get(powers.len().saturating_sub(ends)..)
            .unwrap_or(&[]);
        let settled = crate::free::median(&mut settled.to_vec()).unwrap_or(0.0);
        let inside = |step: &usize| time(*step) > search.0 && time(*step) < search.1 + 0.03;
        let entered_s = (0..powers.len())
            .rev()
            .filter(inside)
            .find(|k| {
                powers
                    .get(*k)
                    .is_some_and(|p| *p < t::SLUR_ENTERED_SHARE * settled)
            })
            .map(|k| time(k) + t::SLUR_ENTERED_S);
        let reach = ((REACH_S + window_s / 4.0) / STEP_S).round() as usize;
        let reach_s = reach as f64 * STEP_S;
        let latest = entered_s.unwrap_or(search.1);
        let earliest = (search.0 - 0.03).max(latest - t::SLUR_LONGEST_S);
        let (of_old, first_s) = phasors(old_hz, new_hz, earliest - reach_s, latest + reach_s);
        let left_s = phasor::leaving(&of_old, reach)
            .iter()
            .enumerate()
            .map(|(k, (moved, lost))| (first_s + (k + reach) as f64 * STEP_S, moved + lost))
            .filter(|(at, _)| *at > earliest && *at < latest)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(at, _)| at - t::SLUR_LEFT_S);
        Self { left_s, entered_s }
    }

    /// Logarithm of how well a change agrees with the two moments, nats, with tails longer than a
    /// normal spread's: `echo` is the power of the echo over that of the direct sound.
    #[must_use]
    pub fn agreement(&self, change: &Change, echo: f64) -> f64 {
        let log = |at: f64, found: Option<f64>, spread: f64| {
            found.map_or(0.0, |found| {
                let away = (at - found) / spread;
                -t::SLUR_EDGE_NATS * (1.0 + away * away / t::SLUR_EDGE_TAIL).ln()
            })
        };
        let left = t::SLUR_LEFT_SPREAD_S + t::SLUR_LEFT_ECHO_S * echo;
        log(change.to_s(), self.entered_s, t::SLUR_ENTERED_SPREAD_S)
            + log(change.from_s(), self.left_s, left)
    }
}

/// Orders of the harmonics of `hz` that lie clear of those of `other`; all when none does.
fn own(hz: f64, other: f64, lowest: f64, window_s: f64) -> Vec<usize> {
    let clear = (OWN_BINS / window_s).min(OWN_SHARE * lowest);
    let count = ((TOP_HZ / hz) as usize).clamp(1, HARMONICS);
    let apart = |order: &usize| {
        let at_hz = *order as f64 * hz;
        let nearest = (at_hz / other).round().max(1.0) * other;
        (at_hz - nearest).abs() > clear
    };
    let found: Vec<usize> = (1..=count).filter(apart).collect();
    if found.is_empty() {
        (1..=count).collect()
    } else {
        found
    }
}
