//! The slurs of a take: when, how fast, what was caught, how deep the level fell.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::expected::{Expected, TubePartial};
use crate::heard::{Caught, HeardNote, HeardSlur, Track};
use crate::measured::{Measure, WhyNot};
use crate::slur::fit::{Fit, fit};
use crate::slur::hall::{Field, between_notes};
use crate::slur::kernel::Kernels;
use crate::slur::pair::{Pair, pairs};
use crate::slur::scene::{Room, Scene};
use crate::slur::sure::Sure;
use crate::thresholds as t;

/// Slurs that tell of the room.
const ROOM_SCENES: usize = 32;
/// Slurs that tell whether it is a hall (nine of them took one for a room, seed 1006), and the fewest that do.
const LINGER_SCENES: usize = 24;
const LINGER_LEAST: usize = 3;

/// Analyses every slurred pair of notes and moves the notes' bounds to the middle of the change.
#[must_use]
pub fn slurs(
    analysis: &Analysis,
    expected: Option<&Expected>,
    track: &Track,
    notes: &mut [HeardNote],
    hall: Option<Field>,
) -> Vec<HeardSlur> {
    let pairs = pairs(expected, notes);
    let mut kernels = Kernels::default();
    // Made when the first slur asks for it: in a hall mostly none does.
    let mut room_and_scenes = None;
    let mut out = Vec::new();
    for (index, pair) in pairs.iter().enumerate() {
        let (from, to) = (pair.from, pair.from + 1);
        let pitches: Vec<f64> = pair.between.iter().map(|p| p.hz).collect();
        let in_hall =
            hall.and_then(|field| between_notes(analysis, notes, &out, from, field, &pitches));
        // Echo hides and feigns holds: the more there is, the more must speak for one.
        let (fitted, least_gain, sure) = if let Some(fitted) = in_hall {
            (fitted, t::HALL_CAUGHT_GAIN, Sure::IN_HALL)
        } else {
            let (room, known) =
                room_and_scenes.get_or_insert_with(|| room(&mut kernels, analysis, &pairs));
            let scene = known
                .remove(&index)
                .or_else(|| pair.scene(&mut kernels, analysis));
            let Some(mut scene) = scene else { continue };
            let edges = pair.edges(analysis);
            let mut fitted = fit(&mut scene, &edges, pair.search, &pitches, *room);
            fitted.earlier(t::SLUR_LATE_S * room.echo);
            let least_gain = t::CAUGHT_GAIN + t::CAUGHT_GAIN_ECHO * room.echo;
            (fitted, least_gain, Sure::in_room(room.echo))
        };
        let evidence = fitted.gain - least_gain;
        let slur = report(
            analysis,
            track,
            (&pair.old, &pair.new),
            (from, to),
            (&fitted, evidence, sure),
            &pair.between,
        );
        // The middle of the change, weighed by how likely each of the two curves is.
        let held = 1.0 / (1.0 + (-evidence).exp());
        let plain = fitted.glide.middle_s;
        let middle = fitted
            .held
            .map_or(plain, |change| plain + held * (change.middle_s - plain));
        if let Some(note) = notes.get_mut(from) {
            note.offset_s = middle;
        }
        if let Some(note) = notes.get_mut(to) {
            note.onset_s = middle;
        }
        out.push(slur);
    }
    out
}

/// True when so much of old notes is left in the new ones that the room is a hall, whether or not there is a
/// rest that tells its reverberation time.
#[must_use]
pub fn lingers(analysis: &Analysis, expected: Option<&Expected>, notes: &[HeardNote]) -> bool {
    let pairs = pairs(expected, notes);
    let every = pairs.len().div_ceil(LINGER_SCENES).max(1);
    let mut kernels = Kernels::default();
    let mut left: Vec<f64> = pairs
        .iter()
        .step_by(every)
        .filter_map(|pair| {
            let scene = pair.scene(&mut kernels, analysis)?;
            scene.left_over(pair.new.onset_s)
        })
        .collect();
    left.len() >= LINGER_LEAST
        && crate::free::median(&mut left).is_some_and(|left| left > t::HALL_LEFT)
}

/// The room that the old notes die in, from what is left of some of them in the new ones, and the
/// scenes that were made for it.
fn room(
    kernels: &mut Kernels,
    analysis: &Analysis,
    pairs: &[Pair],
) -> (Room, BTreeMap<usize, Scene>) {
    let every = pairs.len().div_ceil(ROOM_SCENES).max(1);
    let some = pairs.iter().enumerate().step_by(every);
    let scenes: BTreeMap<usize, Scene> = some
        .filter_map(|(index, pair)| Some((index, pair.scene(kernels, analysis)?)))
        .collect();
    let mut left: Vec<f64> = scenes
        .iter()
        .filter_map(|(index, scene)| scene.left_over(pairs.get(*index)?.new.onset_s))
        .collect();
    let left = crate::free::median(&mut left).unwrap_or(t::SLUR_ECHO);
    let echo = left * (13.8 * 0.085 / t::SLUR_RT60_S).exp();
    let room = Room {
        echo: echo.clamp(t::SLUR_ECHO_LEAST, t::SLUR_ECHO_MOST),
        rt60_s: t::SLUR_RT60_S,
    };
    (room, scenes)
}

fn report(
    analysis: &Analysis,
    track: &Track,
    (old, new): (&HeardNote, &HeardNote),
    (from, to): (usize, usize),
    (fitted, evidence, sure): (&Fit, f64, Sure),
    between: &[TubePartial],
) -> HeardSlur {
    let held = fitted.held.filter(|_| evidence > 0.0);
    let change = held.unwrap_or(fitted.glide);
    let (left_s, entered_s) = change.crossing(t::SLUR_BAND_CENTS);
    let slope = {
        let (a, b) = fitted.glide.crossing(t::SLUR_BAND_CENTS);
        (b - a) / fitted.glide.glide_s.max(1e-6)
    };
    // What the fit knows of itself, and how unlike its model a change may be.
    let fit_ms = t::SLUR_FIT_TIMES * 1000.0 * fitted.glide_uncertainty_s * slope.max(0.3);
    let uncertainty_ms = fit_ms.hypot(sure.unlike_ms);
    let slur_ms = Measure::known(1000.0 * (entered_s - left_s), uncertainty_ms);
    let caught = held
        .and_then(|c| c.hold.map(|h| (c, h)))
        .map(|(c, h)| {
            let partial = between.get(fitted.candidate).map_or(0, |p| p.partial);
            let confidence = 1.0 / (1.0 + (-evidence / 4.0).exp());
            Caught {
                partial,
                hz: h.hz,
                from_s: c.from_s() + c.glide_s,
                held_ms: Measure::known(1000.0 * h.seconds, sure.hold_ms),
                confidence,
            }
        })
        .into_iter()
        .collect();
    HeardSlur {
        from,
        to,
        left_s,
        entered_s,
        slur_ms,
        caught,
        evidence: fitted.held.map(|_| evidence),
        dip_db: match sure.dip_db {
            Some(uncertainty) => dip(
                analysis,
                (old, new),
                (change.from_s(), change.to_s()),
                uncertainty,
            ),
            None => Measure::unknown(WhyNot::TooEchoing),
        },
        overshoot_cents: overshoot(track, (old, new), entered_s, sure.overshoot_cents),
    }
}

/// How far the level falls in the change below the quieter of the two notes.
fn dip(
    analysis: &Analysis,
    notes: (&HeardNote, &HeardNote),
    change: (f64, f64),
    uncertainty: f64,
) -> Measure {
    let hz = notes.0.hz.min(notes.1.hz);
    let mut low = f64::MAX;
    let mut at = change.0 - 0.015;
    while at <= change.1 + 0.015 {
        low = low.min(analysis.level_db(at, hz));
        at += 0.002;
    }
    let side = |from: f64, to: f64| analysis.levels.db(from, to);
    let before = side(change.0 - 0.08, change.0 - 0.02);
    let after = side(change.1 + 0.02, change.1 + 0.08);
    let dip = before.min(after) - low;
    if dip.is_finite() {
        Measure::known(dip.max(0.0), uncertainty)
    } else {
        Measure::unknown(WhyNot::Cut)
    }
}

/// How far the pitch goes past the new note in the first tenth of a second.
fn overshoot(
    track: &Track,
    (old, new): (&HeardNote, &HeardNote),
    entered_s: f64,
    uncertainty: f64,
) -> Measure {
    let up = if new.hz > old.hz { 1.0 } else { -1.0 };
    let (_, frames) = track.between(entered_s, (entered_s + 0.1).min(new.offset_s));
    let past: Vec<(f64, f64)> = frames
        .iter()
        .filter(|f| f.sounds())
        .map(|f| {
            (
                up * 1200.0 * (f.hz / new.hz).log2(),
                f64::from(f.cents_uncertainty),
            )
        })
        .filter(|(c, _)| c.abs() < 100.0)
        .collect();
    if past.len() < 4 {
        return Measure::unknown(WhyNot::TooShort);
    }
    // The middle of three neighbours, so that one stray frame does not count.
    let most = past
        .windows(3)
        .map(|w| {
            let mut three: Vec<f64> = w.iter().map(|(c, _)| *c).collect();
            crate::free::median(&mut three).unwrap_or(0.0)
        })
        .fold(0.0, f64::max);
    let noise = past.iter().map(|(_, u)| *u).fold(0.0, f64::max);
    Measure::known(most, noise.max(new.cents_uncertainty).hypot(uncertainty))
}
