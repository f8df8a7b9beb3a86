//! Every way to every note of an instrument on the ideal tube.

use std::collections::BTreeMap;

use tone::{Hertz, Tuning};

use super::rank;
use crate::{Chart, Fingering, Instrument, Length, Mechanism, NoteKind};

/// The fingering chart of an instrument whose partials are exact multiples of the fundamental.
///
/// The open tube is taken to be tuned to the pitch standard: its fundamental lies where equal
/// temperament at `tuning.a4` has it, and the cents of each way are counted from the note as the
/// temperament asks for it. Slide positions are whole positions; `slide_place` says where the slide
/// makes the note true.
///
/// Partials run from 1 (the pedal) to the instrument's highest. Below the lowest second partial,
/// notes that no pedal reaches are false notes, an octave below a third partial: there the tube
/// resonates only at the even harmonics of the note.
///
/// Order within a note: ordinary partials before pedals before false notes (on a slide a near pedal
/// comes before a far partial); lengths in the order of [`crate::Practice::order`] (valves) or by how
/// far the slide goes out, a rotor counting as `rotor_cost` positions; on a double horn the side that `thumb_from` names comes first; partials
/// that the trade avoids come last, the truest first.
///
/// ```
/// let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
/// let chart = horn::ideal::chart(trumpet, &tone::Tuning::default());
/// let low_e = &chart.ways(62)[0]; // written E4 sounds D4
/// assert_eq!(low_e.label, "1-2");
/// assert!((low_e.cents.0 - (10.7 + 1.955)).abs() < 0.1); // partial 3 on 1-2
/// ```
#[must_use]
pub fn chart(instrument: &Instrument, tuning: &Tuning) -> Chart {
    let open = tuning.equal(instrument.fundamental.midi());
    let mut notes: BTreeMap<i32, Vec<Fingering>> = BTreeMap::new();
    let mut add = |length: &Length, partial: u8, kind: NoteKind| {
        let octave_down = i32::from(kind == NoteKind::False);
        let key = instrument.fundamental.midi() - i32::from(length.semitones)
            + semitones_of_partial(partial)
            - 12 * octave_down;
        let multiple = f64::from(partial) / f64::from(1 + octave_down);
        let way = fingering(
            instrument, tuning, open, length, partial, multiple, key, kind,
        );
        notes.entry(key).or_default().push(way);
    };
    for length in &instrument.lengths {
        add(length, 1, NoteKind::Pedal);
        for partial in 2..=instrument.highest_partial {
            add(length, partial, NoteKind::Partial);
        }
        add(length, 3, NoteKind::False);
    }
    for (key, ways) in &mut notes {
        // A false note is only of use where nothing else reaches.
        if ways.iter().any(|way| way.kind != NoteKind::False) {
            ways.retain(|way| way.kind != NoteKind::False);
        }
        rank::sort(instrument, *key, ways);
    }
    Chart { notes }
}

/// The equal-tempered semitones nearest to a partial above its fundamental: 34 for partial 7.
fn semitones_of_partial(partial: u8) -> i32 {
    (12.0 * f64::from(partial).log2()).round() as i32
}

#[allow(clippy::too_many_arguments)]
fn fingering(
    instrument: &Instrument,
    tuning: &Tuning,
    open: Hertz,
    length: &Length,
    partial: u8,
    multiple: f64,
    key: i32,
    kind: NoteKind,
) -> Fingering {
    let frequency = Hertz(open.0 * multiple / length.ratio);
    let asked = tuning.equal(key).shifted(tuning.offset(key));
    Fingering {
        length: length.id,
        label: length.label.clone(),
        partial,
        cents: frequency.cents_above(asked),
        frequency,
        slide_place: slide_place(
            &instrument.mechanism,
            length.valves,
            open.0 * multiple / asked.0,
        ),
        kind,
        rank: 0,
        reason: String::new(),
        backing: None,
    }
}

/// Where the slide gives this length, relative to the open tube, with these rotors.
fn slide_place(mechanism: &Mechanism, rotors: u16, wanted: f64) -> Option<f64> {
    let Mechanism::Slide { .. } = mechanism else {
        return None;
    };
    // A position counts as reached when it is out by less than can be heard or set.
    const SLACK: f64 = 1e-9;
    let out = wanted - mechanism.ratio(rotors);
    (-SLACK..=mechanism.reach() + SLACK)
        .contains(&out)
        .then(|| 1.0 + 12.0 * (1.0 + out.max(0.0)).log2())
}
