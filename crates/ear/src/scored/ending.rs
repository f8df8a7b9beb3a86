//! A line's last note that a hall's echo hides: a whole tone from the one before it, and softer than what still rings.

use crate::analysis::Analysis;
use crate::expected::Expected;
use crate::free;
use crate::heard::{HeardNote, Match, Place, Track};
use crate::measured::Measure;
use crate::pitch::gather::refit;
use crate::slur::hall::{Field, hidden_in_last};
use crate::thresholds as t;

/// Cents from where the last note should lie beside the one before it that are tried.
const TRIED_CENTS: [f64; 5] = [0.0, -12.0, 12.0, -24.0, 24.0];

/// Where a take ends one note before a line's end: the slurred note that is left, if the hall's sound speaks for it.
pub(super) fn reveal(
    analysis: &Analysis,
    expected: &Expected,
    (track, notes): (&mut Track, &mut Vec<HeardNote>),
    field: Field,
) {
    let Some((last, place)) = notes.last().and_then(|note| Some((note, note.place?))) else {
        return;
    };
    let asked = |note: usize| expected.note(place.line, note);
    let (Some(old), Some(new)) = (asked(place.note), asked(place.note + 1)) else {
        return;
    };
    if !new.slurred || asked(place.note + 2).is_some() || last.matched != Match::AsAsked {
        return;
    }
    let tried = TRIED_CENTS.map(|cents| {
        let hz = last.hz * new.hz / old.hz * (cents / 1200.0).exp2();
        hidden_in_last(analysis, notes, hz, field).map(|(at_s, gain)| (hz, at_s, gain))
    });
    let best = tried
        .into_iter()
        .flatten()
        .max_by(|a, b| a.2.total_cmp(&b.2));
    let Some((hz, at_s, _)) = best.filter(|best| best.2 > t::HIDDEN_GAIN) else {
        return;
    };
    refit(analysis, track, (at_s, last.offset_s), hz);
    let whole = last.clone();
    let part = |from_s: f64, to_s: f64, target_hz: f64| {
        let (hz, uncertainty, steady_s) = free::centre(track, (from_s, to_s), true)?;
        Some(HeardNote {
            onset_s: from_s,
            offset_s: to_s,
            steady_s,
            hz,
            cents: Measure::known(1200.0 * (hz / target_hz).log2(), uncertainty),
            cents_uncertainty: uncertainty,
            level_db: analysis.levels.db(steady_s.0, steady_s.1),
            ..whole.clone()
        })
    };
    let parts = (
        part(whole.onset_s, at_s, old.hz),
        part(at_s, whole.offset_s, new.hz),
    );
    if let (Some(before), Some(after)) = parts {
        notes.pop();
        notes.push(before);
        notes.push(HeardNote {
            place: Some(Place {
                note: place.note + 1,
                ..place
            }),
            slurred: true,
            ..after
        });
    }
}
