//! The change that explains the sound from one note to the next best.

use crate::Samples;
use crate::signal::LANES;
use crate::slur::Change;
use crate::slur::fit::{Fit, Hunt};
use crate::slur::hall::bands::{BETWEEN, Grain};
use crate::slur::hall::passage::{Known, Passage, Stretch};
use crate::thresholds as t;

/// Steps on which a change is first looked for, and the glide that it is looked for with, seconds.
const COARSE_S: f64 = 0.02;
const COARSE_GLIDE_S: f64 = 0.03;
/// Bands that a change is looked for in: as many as are weighed side by side.
const BANDS: usize = LANES;
/// The fewest of them, where those round a pitch between take their place (tuning seeds 11 to 19: 82.4 % of catches at
/// 4.2 invented as with 82.9 at 4.2 beside all eight).
const LEAST_BANDS: usize = 5;
/// Places that are looked at more closely.
const PLACES: usize = 3;
/// A place that is this much less likely than the best one on the coarse grid stays so, nats (tuning seeds 11 to 25 tell
/// the same with 60 and without).
const HOPELESS: f64 = 30.0;
/// By how much less likely than the best one may be at the coarse grain and still the likeliest at all, nats.
const DOUBT: f64 = 20.0;
/// Sound then looked at on each side of the best one, and how far the change may still move, seconds.
const CLOSE_S: f64 = 0.11;
const MOVES_S: f64 = 0.05;

/// Finds the change whose middle lies within `search` (seconds) and not too far from `near_s`, in sound that
/// lies within `span`; `between` are the pitches that may be caught. `None` when there is too little sound.
#[must_use]
pub fn fit(
    sound: &Samples,
    known: &Known,
    span: (f64, f64),
    (search, near_s): ((f64, f64), f64),
    between: &[f64],
) -> Option<Fit> {
    let stretch = |from_s: f64, to_s: f64| stretch(sound, (from_s.max(span.0), to_s.min(span.1)));
    // The decoder seldom errs by much, but then by very much.
    let prior = |change: &Change| {
        let away = (change.middle_s - near_s) / t::HALL_NEAR_S;
        -t::HALL_NEAR_NATS * (1.0 + away * away).ln()
    };
    let pitches = (known.old_hz, known.new_hz);
    let hunt = Hunt::new(pitches, search);
    let passage = |grain| Passage::new(stretch(span.0, span.1), known, grain, BANDS, &[]);
    let mut whole = passage(Grain::Coarse)?;
    let mut places = places(&hunt, search, |change| {
        whole.likelihood(change) + prior(change)
    });
    let best = places
        .iter()
        .map(|place| place.worth)
        .fold(f64::MIN, f64::max);
    places.retain(|place| place.worth > best - DOUBT);
    if places.len() > 1 {
        let mut whole = passage(Grain::Close)?;
        for place in &mut places {
            let change = hunt.glide(place.middle_s, place.glide_s);
            place.worth = whole.likelihood(&change) + prior(&change);
        }
    }
    let best = places
        .into_iter()
        .max_by(|a, b| a.worth.total_cmp(&b.worth));
    let Place {
        middle_s, glide_s, ..
    } = best?;
    let mut close = Passage::new(
        stretch(middle_s - CLOSE_S, middle_s + CLOSE_S),
        known,
        Grain::Close,
        close_bands(between.len()),
        between,
    )?;
    let moves = (
        (middle_s - MOVES_S).max(search.0),
        (middle_s + MOVES_S).min(search.1),
    );
    let hunt = Hunt::new(pitches, moves);
    Some(hunt.settle((middle_s, glide_s), between, |change| {
        close.likelihood(change) + prior(change)
    }))
}

/// The likeliest change within `search` (seconds) in sound that lies within `span`, and by how many nats it is likelier
/// than none. `None` when there is too little sound.
#[must_use]
pub(super) fn hidden(
    sound: &Samples,
    known: &Known,
    span: (f64, f64),
    search: (f64, f64),
) -> Option<(f64, f64)> {
    let mut whole = Passage::new(stretch(sound, span), known, Grain::Close, BANDS, &[])?;
    let pitches = (known.old_hz, known.new_hz);
    let places = places(&Hunt::new(pitches, search), search, |change| {
        whole.likelihood(change)
    });
    let best = places
        .into_iter()
        .max_by(|a, b| a.worth.total_cmp(&b.worth))?;
    let never_s = span.1 + 1.0;
    let never = Hunt::new(pitches, (never_s, never_s)).glide(never_s, COARSE_GLIDE_S);
    Some((best.middle_s, best.worth - whole.likelihood(&never)))
}

/// The sound between two times.
fn stretch(sound: &Samples, (from_s, to_s): (f64, f64)) -> Stretch<'_> {
    Stretch {
        sound: sound.between(from_s, to_s),
        rate: sound.rate,
        start_s: (from_s * sound.rate).round().max(0.0) / sound.rate,
    }
}

/// How many bands of the two notes are looked at beside those of some pitches between: registers are filled.
fn close_bands(between: usize) -> usize {
    let others = BETWEEN * between;
    (LEAST_BANDS + others).next_multiple_of(LANES) - others
}

/// Where a change may be.
#[derive(Clone, Copy)]
struct Place {
    worth: f64,
    middle_s: f64,
    glide_s: f64,
}

/// The likeliest changes on a coarse grid.
fn places(hunt: &Hunt, search: (f64, f64), mut worth: impl FnMut(&Change) -> f64) -> Vec<Place> {
    let mut place = |middle_s: f64, glide_s: f64| Place {
        worth: worth(&hunt.glide(middle_s, glide_s)),
        middle_s,
        glide_s,
    };
    let steps = ((search.1 - search.0) / COARSE_S).ceil().max(1.0) as i32;
    let coarse: Vec<Place> = (0..=steps)
        .map(|k| place(search.0 + f64::from(k) * COARSE_S, COARSE_GLIDE_S))
        .collect();
    let value = |i: usize| coarse.get(i).map_or(f64::MIN, |place| place.worth);
    let peaks = coarse.iter().enumerate().filter(|(i, here)| {
        here.worth >= value(i + 1)
            && i.checked_sub(1)
                .is_none_or(|before| here.worth > value(before))
    });
    let mut peaks: Vec<Place> = peaks.map(|(_, peak)| *peak).collect();
    peaks.sort_by(|a, b| b.worth.total_cmp(&a.worth));
    peaks.truncate(PLACES);
    let best = peaks.first().map_or(0.0, |peak| peak.worth);
    peaks.retain(|peak| peak.worth > best - HOPELESS);
    for peak in &mut peaks {
        let middle_s = peak.middle_s;
        for middle_s in [
            middle_s - COARSE_S / 2.0,
            middle_s,
            middle_s + COARSE_S / 2.0,
        ] {
            for glide_s in [0.02, 0.045] {
                let near = place(middle_s, glide_s);
                if near.worth > peak.worth {
                    *peak = near;
                }
            }
        }
    }
    peaks
}
