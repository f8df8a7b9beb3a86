//! Why this fingering, in plain words.

use horn::Fingering;

use super::Motions;
use super::path::{Candidate, support, throw};

/// A difference smaller than this many cents is not worth a word.
const SAME_CENTS: f64 = 1.0;
/// Nor one of support smaller than this many per cent.
const SAME_SUPPORT: f64 = 5.0;

/// What stands around the note.
pub(super) struct Context<'c> {
    pub(super) before: Option<&'c Fingering>,
    pub(super) after: Option<&'c Fingering>,
    pub(super) slurred: bool,
    pub(super) motions: &'c Motions,
}

/// The reason for a choice, against the chart's first choice in the same place.
pub(super) fn explain(
    pick: &Candidate<'_>,
    column: &[Candidate<'_>],
    context: &Context<'_>,
) -> String {
    let Some(first) = column.first() else {
        return String::new();
    };
    if std::ptr::eq(first.way, pick.way) {
        let mut reason = if pick.way.rank == 0 {
            "usual first choice".to_owned()
        } else {
            "first of those that are allowed".to_owned()
        };
        if let Some(throw) = thrown(pick) {
            reason = format!("{reason}, {throw}");
        }
        return reason;
    }
    let mut reasons = vec![cents(pick.cents.abs() - first.cents.abs())];
    reasons.extend(backing(pick.way, first.way));
    reasons.extend(hand(pick.way, first.way, context));
    reasons.extend(thrown(pick));
    format!(
        "{} rather than {}: {}",
        pick.way.label,
        first.way.label,
        reasons.join(", ")
    )
}

/// What the tube backs better or worse, where that can be told.
fn backing(pick: &Fingering, first: &Fingering) -> Option<String> {
    let more = 100.0 * (support(pick) - support(first));
    if more.abs() < SAME_SUPPORT {
        return None;
    }
    let word = if more > 0.0 { "better" } else { "less" };
    Some(format!("{:.0} % {word} backed by the tube", more.abs()))
}

/// The slide throw that the choice counts on.
fn thrown(pick: &Candidate<'_>) -> Option<String> {
    let throw = throw(pick.way, pick.cents)?;
    Some(format!("{} slide {:.0} mm out", throw.slide, throw.out_mm))
}

fn cents(further: f64) -> String {
    if further.abs() < SAME_CENTS {
        "as true".to_owned()
    } else if further < 0.0 {
        format!("{:.0} cents truer", -further)
    } else {
        format!("{further:.0} cents less true")
    }
}

fn hand(pick: &Fingering, first: &Fingering, context: &Context<'_>) -> Vec<String> {
    let mut words = Vec::new();
    let moved = |way: &Fingering| {
        let mut valves = 0;
        let mut slide = 0.0;
        for neighbour in [context.before, context.after].into_iter().flatten() {
            let motion = context.motions.between(neighbour.length, way.length);
            valves += motion.valves;
            slide += motion.slide.abs();
        }
        (valves, slide)
    };
    let (valves, slide) = moved(pick);
    let (first_valves, first_slide) = moved(first);
    if context.before.is_some_and(|b| b.length == pick.length) {
        words.push("stays on the length of the note before".to_owned());
    }
    if context.motions.slide {
        let less = first_slide - slide;
        if less.abs() >= 0.5 {
            words.push(format!(
                "{:.0} {} {} of slide",
                less.abs(),
                if less.abs() < 1.5 {
                    "position"
                } else {
                    "positions"
                },
                if less > 0.0 { "less" } else { "more" }
            ));
        }
        if let (Some(before), Some(after)) = (context.before, context.after) {
            let turns = |way: &Fingering| {
                let into = context.motions.between(before.length, way.length).slide;
                let out = context.motions.between(way.length, after.length).slide;
                into * out < 0.0
            };
            if turns(first) && !turns(pick) {
                words.push("the slide keeps its direction".to_owned());
            }
        }
        let smears = |way: &Fingering| {
            context.slurred
                && context
                    .before
                    .is_some_and(|b| b.partial == way.partial && b.length != way.length)
        };
        if smears(first) && !smears(pick) {
            words.push("the slur is not smeared".to_owned());
        }
    }
    match first_valves.cmp(&valves) {
        std::cmp::Ordering::Greater => words.push(count(first_valves - valves, "fewer")),
        std::cmp::Ordering::Less => words.push(count(valves - first_valves, "more")),
        std::cmp::Ordering::Equal if words.is_empty() => words.push("no extra motion".to_owned()),
        std::cmp::Ordering::Equal => {}
    }
    words
}

fn count(valves: u32, than: &str) -> String {
    if valves == 1 {
        format!("one {than} valve move")
    } else {
        format!("{valves} {than} valve moves")
    }
}
