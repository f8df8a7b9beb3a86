//! From the notes of a take to what a hall's search must know.

use crate::analysis::Analysis;
use crate::heard::{HeardNote, HeardSlur};
use crate::slur::fit::Fit;
use crate::slur::hall::search::hidden;
use crate::slur::hall::{Field, Known, Past, fit};
use crate::thresholds as t;

/// The change from note `from` of a take to the next in a hall; `slurs` are those before it, whose caught partials
/// ring too, `between` the pitches that may be caught. `None` where there is too little sound.
#[must_use]
pub fn between_notes(
    analysis: &Analysis,
    notes: &[HeardNote],
    slurs: &[HeardSlur],
    from: usize,
    field: Field,
    between: &[f64],
) -> Option<Fit> {
    let (old, new) = (notes.get(from)?, notes.get(from + 1)?);
    let near_s = new.onset_s;
    let glimpsed = new.offset_s - near_s < t::HALL_GLIMPSE_S;
    let earlier_s = if glimpsed {
        t::HALL_EARLIEST_S
    } else {
        t::HALL_EARLIER_S
    };
    let search = (
        (near_s - earlier_s).max(old.onset_s + t::HALL_NOTE_LEAST_S),
        (near_s + t::HALL_LATER_S).min(new.offset_s - t::HALL_NOTE_LEAST_S),
    );
    let span = (
        (search.0 - t::HALL_BESIDE_S).max(old.onset_s + t::HALL_BEGUN_S),
        (search.1 + t::HALL_BESIDE_S).min(new.offset_s - t::HALL_END_S),
    );
    let known = known(notes, slurs, (from, new.hz), field)?;
    (search.0 < search.1)
        .then(|| fit(&analysis.halved, &known, span, (search, near_s), between))
        .flatten()
}

/// When the last of some notes is left for another pitch near its end, and by how many nats that is likelier than that
/// it is held to its end. `None` where there is too little sound.
#[must_use]
pub fn hidden_in_last(
    analysis: &Analysis,
    notes: &[HeardNote],
    new_hz: f64,
    field: Field,
) -> Option<(f64, f64)> {
    let (last, old) = (notes.len().checked_sub(1)?, notes.last()?);
    let from_s = old.onset_s.max(old.offset_s - t::HIDDEN_WITHIN_S);
    let search = (
        from_s + t::HALL_NOTE_LEAST_S,
        old.offset_s - t::HALL_NOTE_LEAST_S - t::HALL_END_S,
    );
    let span = (from_s + t::HALL_BEGUN_S, old.offset_s - t::HALL_END_S);
    let known = known(notes, &[], (last, new_hz), field)?;
    (search.0 < search.1)
        .then(|| hidden(&analysis.halved, &known, span, search))
        .flatten()
}

/// What is known where note `from` of a take is left for a pitch.
fn known(
    notes: &[HeardNote],
    slurs: &[HeardSlur],
    (from, new_hz): (usize, f64),
    field: Field,
) -> Option<Known> {
    let old = notes.get(from)?;
    let before = notes.iter().take(from).map(|note| Past {
        hz: note.hz,
        from_s: note.onset_s,
        to_s: note.offset_s,
    });
    let caught = slurs.iter().flat_map(|slur| &slur.caught).map(|c| Past {
        hz: c.hz,
        from_s: c.from_s,
        to_s: c.from_s + c.held_ms.value().unwrap_or(0.0) / 1000.0,
    });
    let rings = |past: &Past| past.to_s > old.onset_s - field.rt60_s;
    Some(Known {
        old_hz: old.hz,
        new_hz,
        old_from_s: old.onset_s,
        past: before.chain(caught).filter(rings).collect(),
        field,
    })
}
