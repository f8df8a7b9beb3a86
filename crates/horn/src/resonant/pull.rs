//! Which slide, moved how far, would put a note in tune.

use serde::Serialize;

use crate::acoustics::Setup;
use crate::{Length, LengthId};

/// A slide movement that tunes a note.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pull {
    /// Slide: a name of the bore file, or `hand` for a trombone's.
    pub slide: String,
    /// Movement from where the slide is now, mm; out is positive.
    pub move_mm: f64,
    /// Where it would then stand, mm from fully in.
    pub at_mm: f64,
    /// Whether the slide goes that far.
    pub reachable: bool,
}

/// Sounding wavelength decides: a note `cents` sharp on partial `n` needs the acoustic length
/// `n c/2f` to grow by `2^(cents/1200) - 1`, half of it on each leg.
pub(super) fn pull(
    setup: &Setup,
    length: &Length,
    c: f64,
    frequency: f64,
    partial: f64,
    cents: f64,
) -> Option<Pull> {
    let acoustic_mm = 1000.0 * partial * c / (2.0 * frequency);
    let move_mm = 0.5 * acoustic_mm * ((cents / 1200.0).exp2() - 1.0);
    if let Some(hand) = &setup.bore.hand_slide {
        let now = setup.state(LengthId(length.id.0)).ok()?.hand_mm;
        let at_mm = now + move_mm;
        let reachable = (0.0..=hand.throw_mm).contains(&at_mm);
        return Some(Pull {
            slide: "hand".to_owned(),
            move_mm,
            at_mm,
            reachable,
        });
    }
    // The slide with the longest throw among the loops in use, else the main slide.
    let own = setup
        .bore
        .loops
        .iter()
        .filter(|l| l.throw_mm > 0.0 && setup.bore.engaged(l, length.valves))
        .max_by(|a, b| a.throw_mm.total_cmp(&b.throw_mm));
    let (name, throw, rest) = match own {
        Some(l) => (&l.name, l.throw_mm, 0.0),
        None => setup
            .bore
            .slides
            .first()
            .map(|s| (&s.name, s.throw_mm, s.rest_mm))?,
    };
    let now = setup.pulls.get(name).copied().unwrap_or(rest);
    let at_mm = now + move_mm;
    Some(Pull {
        slide: name.clone(),
        move_mm,
        at_mm,
        reachable: (0.0..=throw).contains(&at_mm),
    })
}
