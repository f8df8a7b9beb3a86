//! The cheapest way through the lengths that reach the notes of a line.

use horn::resonant::HARMONICS;
use horn::{Chart, Fingering, LengthId, NoteKind, Throw};
use tone::Cents;

use super::explain::{Context, explain};
use super::{Motions, Weights};
use crate::part::Fingered;

/// Most ways to one note that are weighed; the cheapest by themselves are kept.
const WAYS_KEPT: usize = 8;
/// Directions of the slide that a path remembers: none yet, outward, inward.
const DIRECTIONS: usize = 3;
/// A move of the slide smaller than this, in positions, has no direction.
const STILL: f64 = 0.3;

/// A note to be fingered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Sounding MIDI key.
    pub key: i32,
    /// Where the tuning asked for puts the note, from equal temperament.
    pub offset: Cents,
    /// Slurred from the note before.
    pub slurred: bool,
    /// Seconds that the note before lasts (rests included): the time there is to move.
    pub before_s: f64,
}

/// Which kinds of notes may be used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Allowed {
    /// Pedals.
    pub pedals: bool,
    /// False notes.
    pub false_notes: bool,
}

impl Allowed {
    /// Whether a note of this kind may be used.
    #[must_use]
    pub const fn allows(self, kind: NoteKind) -> bool {
        match kind {
            NoteKind::Partial => true,
            NoteKind::Pedal => self.pedals,
            NoteKind::False => self.false_notes,
        }
    }
}

pub(super) struct Candidate<'c> {
    pub(super) way: &'c Fingering,
    pub(super) cents: f64,
    pub(super) own_cost: f64,
}

/// Fingers a line; `None` when a note has no way that is allowed.
#[must_use]
pub fn choose(
    notes: &[Asked],
    chart: &Chart,
    motions: &Motions,
    allowed: Allowed,
    weights: &Weights,
) -> Option<Vec<Fingered>> {
    let columns: Vec<Vec<Candidate<'_>>> = notes
        .iter()
        .map(|note| candidates(note, chart, allowed, weights))
        .collect();
    if columns.iter().any(Vec::is_empty) {
        return None;
    }
    let picks = cheapest(notes, &columns, motions, weights);
    let chosen: Vec<&Candidate<'_>> = columns
        .iter()
        .zip(&picks)
        .filter_map(|(column, &pick)| column.get(pick))
        .collect();
    let mut fingered = Vec::with_capacity(chosen.len());
    for (i, pick) in chosen.iter().enumerate() {
        let column = columns.get(i)?;
        let context = Context {
            before: i.checked_sub(1).and_then(|b| chosen.get(b)).map(|c| c.way),
            after: chosen.get(i + 1).map(|c| c.way),
            slurred: notes.get(i).is_some_and(|n| n.slurred),
            motions,
        };
        fingered.push(Fingered {
            length: pick.way.length,
            label: pick.way.label.clone(),
            partial: pick.way.partial,
            cents: Cents(pick.cents),
            alternate: pick.way.rank > 0,
            kind: pick.way.kind,
            reason: explain(pick, column, &context),
        });
    }
    Some(fingered)
}

/// The ways to a note that are allowed, with what each costs by itself, the chart's first first.
fn candidates<'c>(
    note: &Asked,
    chart: &'c Chart,
    allowed: Allowed,
    weights: &Weights,
) -> Vec<Candidate<'c>> {
    let mut all: Vec<Candidate<'_>> = chart
        .ways(note.key)
        .iter()
        .filter(|way| allowed.allows(way.kind))
        .map(|way| {
            let cents = way.cents.0 - note.offset.0;
            let thrown = throw(way, cents).map_or(0.0, |_| weights.per_throw);
            let per_cent = if way.slide_place.is_some() || thrown > 0.0 {
                weights.per_cent_on_slide
            } else {
                weights.per_cent
            };
            let unbacked = weights.per_support * (1.0 - support(way));
            let rank = match way.rank {
                0 => 0.0,
                r => weights.alternate + weights.per_rank * f64::from(r - 1),
            };
            Candidate {
                way,
                cents,
                own_cost: per_cent * cents.abs() + thrown + rank + unbacked,
            }
        })
        .collect();
    if all.len() > WAYS_KEPT {
        all.sort_by(|a, b| a.own_cost.total_cmp(&b.own_cost));
        all.truncate(WAYS_KEPT);
        all.sort_by_key(|c| c.way.rank);
    }
    all
}

/// Share of the support that a note can have, 0 to 1: the bore's where the chart has it; on the
/// ideal tube the share of the first eight harmonics, weighted as [`horn::resonant::support`]
/// weights them, that meet a resonance (all; all but the fundamental; every second one).
pub(super) fn support(way: &Fingering) -> f64 {
    if let Some(backing) = &way.backing {
        return backing.support.clamp(0.0, 1.0);
    }
    let (from, by) = match way.kind {
        NoteKind::Partial => return 1.0,
        NoteKind::Pedal => (2, 1),
        NoteKind::False => (2, 2),
    };
    let weight = |k: usize| 1.0 / k as f64;
    let backed: f64 = (from..=HARMONICS).step_by(by).map(weight).sum();
    backed / (1..=HARMONICS).map(weight).sum::<f64>()
}

/// The slide throw that makes up for a note that is `cents` sharp, if there is one.
pub(super) fn throw(way: &Fingering, cents: f64) -> Option<&Throw> {
    let backing = way.backing.as_ref().filter(|_| cents > 0.0)?;
    backing.throw.as_ref()
}

/// Cost of moving from one way to the next, and the slide's direction afterwards.
fn step(
    from: &Fingering,
    to: &Fingering,
    direction: usize,
    note: &Asked,
    motions: &Motions,
    weights: &Weights,
) -> (f64, usize) {
    let motion = motions.between(from.length, to.length);
    let haste = weights.haste(note.before_s);
    let mut cost = haste * weights.per_valve * f64::from(motion.valves);
    let mut direction_after = direction;
    if motions.slide && motion.slide.abs() > STILL {
        let now = if motion.slide > 0.0 { 1 } else { 2 };
        cost += haste * weights.per_position * motion.slide.abs();
        if direction != 0 && direction != now {
            cost += haste * weights.turn;
        }
        direction_after = now;
        if note.slurred && from.partial == to.partial {
            cost += weights.smear;
        }
    }
    if note.slurred && from.length == to.length {
        let skipped = from.partial.abs_diff(to.partial).saturating_sub(1);
        cost += weights.per_skipped_partial * f64::from(skipped);
    }
    (cost, direction_after)
}

/// Viterbi over ways and slide directions. Ties go to the earlier way, so the result is the same
/// every time.
fn cheapest(
    notes: &[Asked],
    columns: &[Vec<Candidate<'_>>],
    motions: &Motions,
    weights: &Weights,
) -> Vec<usize> {
    let Some(first) = columns.first() else {
        return Vec::new();
    };
    let directions = if motions.slide { DIRECTIONS } else { 1 };
    let mut costs = vec![f64::INFINITY; first.len() * directions];
    for (i, candidate) in first.iter().enumerate() {
        if let Some(cost) = costs.get_mut(i * directions) {
            *cost = candidate.own_cost;
        }
    }
    let mut back: Vec<Vec<u32>> = Vec::with_capacity(columns.len());
    for ((before, column), note) in columns
        .iter()
        .zip(columns.iter().skip(1))
        .zip(notes.iter().skip(1))
    {
        let mut next = vec![f64::INFINITY; column.len() * directions];
        let mut from = vec![0_u32; column.len() * directions];
        for (state, &so_far) in costs.iter().enumerate() {
            if !so_far.is_finite() {
                continue;
            }
            let Some(a) = before.get(state / directions) else {
                continue;
            };
            for (j, b) in column.iter().enumerate() {
                let (moving, direction) =
                    step(a.way, b.way, state % directions, note, motions, weights);
                let total = so_far + moving + b.own_cost;
                let to = j * directions + direction.min(directions - 1);
                if let (Some(cost), Some(origin)) = (next.get_mut(to), from.get_mut(to))
                    && total < *cost
                {
                    *cost = total;
                    *origin = state as u32;
                }
            }
        }
        costs = next;
        back.push(from);
    }
    let mut state = costs
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(b.1))
        .map_or(0, |(state, _)| state);
    let mut picks = vec![state / directions];
    for from in back.iter().rev() {
        state = from.get(state).map_or(0, |&s| s as usize);
        picks.push(state / directions);
    }
    picks.reverse();
    picks
}

/// The fingering of a natural-series note on a length that is given.
pub(crate) fn on_length(
    chart: &Chart,
    key: i32,
    length: &horn::Length,
    partial: u8,
    offset: Cents,
) -> Fingered {
    let listed = chart
        .ways(key)
        .iter()
        .find(|way| way.length == length.id && way.partial == partial);
    let cents = listed.map_or_else(
        || {
            let equal = tone::Tuning::default().equal(key);
            tone::Hertz(length.fundamental.0 * f64::from(partial)).cents_above(equal)
        },
        |way| way.cents,
    );
    Fingered {
        length: LengthId(length.id.0),
        label: length.label.clone(),
        partial,
        cents: Cents(cents.0 - offset.0),
        alternate: listed.is_none_or(|way| way.rank > 0),
        kind: if partial == 1 {
            NoteKind::Pedal
        } else {
            NoteKind::Partial
        },
        reason: "one length for the whole line".to_owned(),
    }
}
