//! The change that explains the sound from one note to the next best.

use crate::Samples;
use crate::slur::Change;
use crate::slur::fit::{Fit, Hunt};
use crate::slur::hall::passage::{Known, Passage, Stretch};
use crate::thresholds as t;

/// Steps on which a change is first looked for, and the glide that it is looked for with, seconds.
const COARSE_S: f64 = 0.015;
const COARSE_GLIDE_S: f64 = 0.03;
/// Bands that it is first looked for in, and then.
const COARSE_BANDS: usize = 5;
const BANDS: usize = 8;
/// Places that are looked at more closely.
const PLACES: usize = 3;
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
    let stretch = |from_s: f64, to_s: f64| Stretch {
        sound: sound.between(from_s.max(span.0), to_s.min(span.1)),
        rate: sound.rate,
        start_s: (from_s.max(span.0) * sound.rate).round().max(0.0) / sound.rate,
    };
    // The decoder seldom errs by much, but then by very much.
    let prior = |change: &Change| {
        let away = (change.middle_s - near_s) / t::HALL_NEAR_S;
        -t::HALL_NEAR_NATS * (1.0 + away * away).ln()
    };
    let pitches = (known.old_hz, known.new_hz);
    let hunt = Hunt::new(pitches, search);
    let mut whole = Passage::new(stretch(span.0, span.1), known, COARSE_BANDS, &[])?;
    let (middle_s, glide_s) = place(&hunt, search, |change| {
        whole.likelihood(change) + prior(change)
    });
    let mut close = Passage::new(
        stretch(middle_s - CLOSE_S, middle_s + CLOSE_S),
        known,
        BANDS,
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

/// The middle and the glide of the likeliest change on a coarse grid.
fn place(hunt: &Hunt, search: (f64, f64), mut worth: impl FnMut(&Change) -> f64) -> (f64, f64) {
    let steps = ((search.1 - search.0) / COARSE_S).ceil().max(1.0) as i32;
    let coarse: Vec<(f64, f64)> = (0..=steps)
        .map(|k| search.0 + f64::from(k) * COARSE_S)
        .map(|middle| (worth(&hunt.glide(middle, COARSE_GLIDE_S)), middle))
        .collect();
    let value = |i: usize| coarse.get(i).map_or(f64::MIN, |(value, _)| *value);
    let mut peaks: Vec<(f64, f64)> = coarse
        .iter()
        .enumerate()
        .filter(|(i, (here, _))| {
            *here >= value(i + 1) && i.checked_sub(1).is_none_or(|before| *here > value(before))
        })
        .map(|(_, peak)| *peak)
        .collect();
    peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
    peaks.truncate(PLACES);
    let mut best = (f64::MIN, search.0, COARSE_GLIDE_S);
    for (_, peak) in peaks {
        for middle in [peak - COARSE_S / 2.0, peak, peak + COARSE_S / 2.0] {
            for glide in [0.02, 0.045] {
                let value = worth(&hunt.glide(middle, glide));
                if value > best.0 {
                    best = (value, middle, glide);
                }
            }
        }
    }
    (best.1, best.2)
}
