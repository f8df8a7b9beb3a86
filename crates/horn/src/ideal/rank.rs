//! The order in which the trade reaches for the ways to a note, and why, in words.

use std::cmp::Ordering;

use crate::{Fingering, Instrument, Mechanism, NoteKind};

/// A slide that, moved as near as it goes, still leaves a note further off than this is not a
/// first choice: partial 7 in first position, which cannot be raised. Partial 5 in first position
/// (14 cents flat) is the usual D4 of the trombone. Common practice, no source.
const SLIDE_LEAVES_CENTS: f64 = 20.0;

/// A pedal on a slide instrument counts as this many positions further out, so that pedal B-flat in
/// first position comes before partial 2 with both rotors. On valved instruments ordinary partials
/// always come first. Common practice, no source.
const PEDAL_POSITIONS: f64 = 6.0;

struct Key {
    kind: u8,
    avoided: bool,
    wrong_side: bool,
    cost: f64,
    cents: f64,
}

/// Sorts the ways to one note, best first, and fills in rank and reason.
pub(super) fn sort(instrument: &Instrument, key: i32, ways: &mut [Fingering]) {
    ways.sort_by(|a, b| compare(&place(instrument, key, a), &place(instrument, key, b)));
    let mut first_kind = None;
    for (rank, way) in ways.iter_mut().enumerate() {
        way.rank = u8::try_from(rank).unwrap_or(u8::MAX);
        let kind = *first_kind.get_or_insert(way.kind);
        way.reason = reason(instrument, way, kind);
    }
}

fn compare(a: &Key, b: &Key) -> Ordering {
    a.kind
        .cmp(&b.kind)
        .then(a.avoided.cmp(&b.avoided))
        .then_with(|| match a.avoided {
            true => a.cents.total_cmp(&b.cents),
            false => Ordering::Equal,
        })
        .then(a.wrong_side.cmp(&b.wrong_side))
        .then(a.cost.total_cmp(&b.cost))
        .then(a.cents.total_cmp(&b.cents))
}

fn place(instrument: &Instrument, key: i32, way: &Fingering) -> Key {
    Key {
        kind: match way.kind {
            NoteKind::Partial => 0,
            NoteKind::Pedal => u8::from(!has_slide(instrument)),
            NoteKind::False => 2,
        },
        avoided: way.kind == NoteKind::Partial && avoided(instrument, way),
        wrong_side: wrong_side(instrument, key, way),
        cost: cost(instrument, way),
        cents: way.cents.0.abs(),
    }
}

/// Whether a way is on the shorter side of a double horn.
fn on_thumb(instrument: &Instrument, way: &Fingering) -> bool {
    match &instrument.mechanism {
        Mechanism::Valves { valves, thumb, .. } if thumb.is_some() => instrument
            .length(way.length)
            .is_some_and(|length| length.valves & (1 << valves.len()) != 0),
        _ => false,
    }
}

fn wrong_side(instrument: &Instrument, key: i32, way: &Fingering) -> bool {
    instrument
        .practice
        .thumb_from
        .is_some_and(|from| (key >= from.midi()) != on_thumb(instrument, way))
}

fn avoided(instrument: &Instrument, way: &Fingering) -> bool {
    let practice = &instrument.practice;
    let list = if on_thumb(instrument, way) {
        &practice.thumb_avoid
    } else {
        &practice.avoid
    };
    list.contains(&way.partial) || slide_falls_short(instrument, way)
}

fn has_slide(instrument: &Instrument) -> bool {
    matches!(instrument.mechanism, Mechanism::Slide { .. })
}

fn slide_falls_short(instrument: &Instrument, way: &Fingering) -> bool {
    has_slide(instrument) && way.slide_place.is_none() && way.cents.0.abs() > SLIDE_LEAVES_CENTS
}

/// Place in the order of practice, or positions of slide; smaller is sooner.
fn cost(instrument: &Instrument, way: &Fingering) -> f64 {
    let practice = &instrument.practice;
    let Some(length) = instrument.length(way.length) else {
        return f64::MAX;
    };
    match length.slide_place {
        Some(place) => {
            // Two rotors together cost little more than one: the hand is already at work.
            let rotors = f64::from(u8::from(length.valves != 0)) * practice.rotor_cost
                + 0.5 * f64::from(length.valves.count_ones());
            let pedal = f64::from(u8::from(way.kind == NoteKind::Pedal)) * PEDAL_POSITIONS;
            place + rotors + pedal
        }
        None => practice
            .order
            .iter()
            .position(|label| *label == way.label)
            // Not listed: after all that are, shortest tube first.
            .map_or(1000.0 + length.ratio, |index| index as f64),
    }
}

fn reason(instrument: &Instrument, way: &Fingering, best_kind: NoteKind) -> String {
    let (partial, label, cents) = (way.partial, &way.label, way.cents.0);
    let off = match cents {
        c if c.abs() < 0.5 => "true".to_owned(),
        c if c > 0.0 => format!("{c:.0} cents sharp"),
        c => format!("{:.0} cents flat", -c),
    };
    let off = match way.slide_place {
        Some(to) if cents.abs() >= 0.5 => format!("{off} there, true with the slide at {to:.2}"),
        _ => off,
    };
    match way.kind {
        NoteKind::Pedal if best_kind == NoteKind::Partial => {
            format!("pedal on {label}, {off}: an ordinary partial is there too")
        }
        NoteKind::Pedal => {
            format!("pedal on {label}, {off}: no resonance of its own, its harmonics carry it")
        }
        NoteKind::False => {
            format!(
                "false note an octave below partial {partial} on {label}, {off}: carried by every second harmonic"
            )
        }
        NoteKind::Partial if avoided(instrument, way) => {
            format!("partial {partial} on {label} is not used by choice: {off}")
        }
        NoteKind::Partial if way.rank == 0 => {
            format!("usual first choice: partial {partial} on {label}, {off}")
        }
        NoteKind::Partial => format!("alternate: partial {partial} on {label}, {off}"),
    }
}
