//! One line as a drawing: each note's pitch about what was asked, and the level below.

use std::fmt::Write as _;

use super::escape::escape;
use crate::report::figures::{Side, arrow, clock, side};
use crate::report::shape::{Line, Note, Outcome};

/// Drawn seconds are this wide, so that a quaver has room for its figure on a phone; px.
const SECOND: f64 = 110.0;
/// Smallest width, px: a short line fills the page; on a phone it scrolls.
const NARROWEST: f64 = 958.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 14.0;
/// Rows from the top, px: names, figures, pitch, level, time.
const NAMES: f64 = 20.0;
const FIGURES: f64 = 38.0;
const TOP: f64 = 50.0;
const PITCH: f64 = 130.0;
const LEVEL_TOP: f64 = 192.0;
const LEVEL: f64 = 46.0;
const HEIGHT: f64 = 262.0;
/// The pitch is drawn to this far from what was asked, cents.
const REACH: f64 = 50.0;
/// Beyond this the pitch is on its way from or to a neighbour and is not this note's, cents.
const ELSEWHERE: f64 = 100.0;
/// The band in which a deviation is hardly told, cents.
const BAND: f64 = 5.0;
/// The level is drawn over this range, dB.
const RANGE_DB: f64 = 40.0;

/// The drawing; `number` makes its ids unique in the page.
pub(super) fn chart(line: &Line, a4: f64, number: usize) -> String {
    let curve = &line.curve;
    let seconds = (curve.midi.len() as f64 * curve.step_s).max(0.1);
    let width = (LEFT + RIGHT + seconds * SECOND).clamp(NARROWEST, 12_000.0);
    let per_s = (width - LEFT - RIGHT) / seconds;
    let x = |s: f64| LEFT + (s - curve.from_s) * per_s;
    let mut svg = format!(
        "<svg class=\"curve\" role=\"img\" aria-label=\"{}\" width=\"{width:.0}\" \
         height=\"{HEIGHT}\" viewBox=\"0 0 {width:.0} {HEIGHT}\">",
        escape(&description(line))
    );
    grid(&mut svg, width, seconds, &x, curve.from_s);
    let _ = write!(
        svg,
        "<clipPath id=\"c{number}\"><rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{:.0}\" \
         height=\"{PITCH}\"/></clipPath>",
        width - LEFT - RIGHT
    );
    level(&mut svg, line, &x);
    let _ = write!(svg, "<g clip-path=\"url(#c{number})\">");
    for note in &line.notes {
        pitch(&mut svg, line, note, a4, &x);
    }
    svg.push_str("</g>");
    let mut free_x = f64::MIN;
    for note in &line.notes {
        labels(&mut svg, note, &x, &mut free_x);
    }
    caught(&mut svg, line, &x);
    svg.push_str("</svg>");
    svg
}

/// What a reader who does not see the drawing is told.
fn description(line: &Line) -> String {
    let as_asked = line
        .notes
        .iter()
        .filter(|n| n.outcome == Outcome::AsAsked)
        .count();
    let count = |s| {
        line.notes
            .iter()
            .filter(|n| side(n.measures.pitch_cents) == s)
            .count()
    };
    format!(
        "Pitch and level of line {}: {as_asked} of {} notes as asked, {} flat, {} sharp. The table \
         below has the figures.",
        line.label,
        line.notes.len(),
        count(Side::Flat),
        count(Side::Sharp)
    )
}

fn y(cents: f64) -> f64 {
    TOP + PITCH / 2.0 - cents / REACH * PITCH / 2.0
}

fn grid(svg: &mut String, width: f64, seconds: f64, x: &impl Fn(f64) -> f64, from_s: f64) {
    let right = width - RIGHT;
    let _ = write!(
        svg,
        "<rect class=\"band\" x=\"{LEFT}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>",
        y(BAND),
        right - LEFT,
        y(-BAND) - y(BAND)
    );
    for cents in [-50.0, -25.0, 0.0, 25.0, 50.0] {
        let class = if cents == 0.0 { "zero" } else { "rule" };
        let sign = if cents > 0.0 { "+" } else { "" };
        let at = y(cents);
        let _ = write!(
            svg,
            "<line class=\"{class}\" x1=\"{LEFT}\" x2=\"{right:.1}\" y1=\"{at:.1}\" y2=\"{at:.1}\"/>\
             <text class=\"soft\" x=\"{:.0}\" y=\"{:.1}\" text-anchor=\"end\">{sign}{cents}</text>",
            LEFT - 6.0,
            at + 4.0
        );
    }
    let _ = write!(
        svg,
        "<text class=\"soft\" x=\"{:.0}\" y=\"{FIGURES}\" text-anchor=\"end\">cents</text>\
         <text class=\"soft\" x=\"{:.0}\" y=\"{:.0}\" text-anchor=\"end\">level</text>",
        LEFT - 6.0,
        LEFT - 6.0,
        LEVEL_TOP + LEVEL - 4.0
    );
    let mut at = from_s.ceil();
    while at < from_s + seconds {
        let _ = write!(
            svg,
            "<text class=\"soft\" x=\"{:.1}\" y=\"{:.0}\" text-anchor=\"middle\">{}</text>",
            x(at),
            HEIGHT - 6.0,
            clock(at).trim_end_matches(".0")
        );
        at += 1.0;
    }
}

/// The note's own curve about what was asked, in its colour.
fn pitch(svg: &mut String, line: &Line, note: &Note, a4: f64, x: &impl Fn(f64) -> f64) {
    let asked = note.asked_hz.map(|hz| 69.0 + 12.0 * (hz / a4).log2());
    let Some(asked) = asked.or_else(|| note.heard_midi.map(f64::from)) else {
        return;
    };
    let curve = &line.curve;
    let place = |s: f64| {
        ((s - curve.from_s) / curve.step_s.max(1e-3))
            .round()
            .max(0.0) as usize
    };
    let (from, to) = (place(note.from_s), place(note.to_s).min(curve.midi.len()));
    let mut path = String::new();
    let mut pen = 'M';
    for i in from..to {
        let heard = curve.midi.get(i).copied().flatten();
        let cents = heard.map(|midi| 100.0 * (f64::from(midi) - asked));
        match cents.filter(|cents| cents.abs() <= ELSEWHERE) {
            Some(cents) => {
                let at = x(curve.from_s + i as f64 * curve.step_s);
                let _ = write!(path, "{pen}{at:.1} {:.1}", y(cents));
                pen = 'L';
            }
            None => pen = 'M',
        }
    }
    if !path.is_empty() {
        let class = class(side(note.measures.pitch_cents));
        let _ = write!(svg, "<path class=\"pitch{class}\" d=\"{path}\"/>");
    }
}

fn class(side: Side) -> &'static str {
    match side {
        Side::Flat => " flat",
        Side::True => "",
        Side::Sharp => " sharp",
    }
}

/// Name and figure over the note; a dashed box for one that is missing.
fn labels(svg: &mut String, note: &Note, x: &impl Fn(f64) -> f64, free_x: &mut f64) {
    let from = x(note.from_s);
    let name = escape(note.written.as_ref().unwrap_or(&note.name));
    if note.outcome == Outcome::Missing {
        let at = from.max(*free_x + 4.0);
        let _ = write!(
            svg,
            "<rect class=\"miss\" x=\"{at:.1}\" y=\"{:.0}\" width=\"30\" height=\"34\"/>\
             <text x=\"{:.1}\" y=\"{NAMES}\" text-anchor=\"middle\">{name}</text>\
             <text class=\"soft\" x=\"{:.1}\" y=\"{FIGURES}\" text-anchor=\"middle\">none</text>",
            NAMES - 15.0,
            at + 15.0,
            at + 15.0
        );
        *free_x = at + 34.0;
        return;
    }
    let _ = write!(
        svg,
        "<line class=\"rule\" x1=\"{from:.1}\" x2=\"{from:.1}\" y1=\"{TOP}\" y2=\"{:.0}\"/>",
        LEVEL_TOP + LEVEL
    );
    // A label that would run into the one before is left to the table.
    let at = from + 3.0;
    if at < *free_x {
        return;
    }
    let marked = side(note.measures.pitch_cents);
    let figure = match (note.outcome, note.measures.pitch_cents.value()) {
        (Outcome::Wrong | Outcome::OtherPartial, _) => note
            .heard_midi
            .map(|m| format!("not {}", tone::Pitch::from_midi(m)))
            .unwrap_or_else(|| "wrong".into()),
        (_, Some(value)) if marked == Side::True => format!("{:.0}", value + 0.0)
            .replace("-0", "0")
            .replace('-', "\u{2212}"),
        (_, Some(value)) => format!("{} {:.0}", arrow(marked), value.abs()),
        (_, None) => String::new(),
    };
    let _ = write!(
        svg,
        "<text class=\"name\" x=\"{at:.1}\" y=\"{NAMES}\">{name}</text>\
         <text class=\"{}\" x=\"{at:.1}\" y=\"{FIGURES}\">{}</text>",
        class(marked).trim(),
        escape(&figure)
    );
    let longest = name.chars().count().max(figure.chars().count());
    *free_x = at + 8.0 * longest as f64 + 3.0;
}

fn level(svg: &mut String, line: &Line, x: &impl Fn(f64) -> f64) {
    let curve = &line.curve;
    let top = curve.level_db.iter().copied().fold(-120.0_f32, f32::max);
    let bottom = LEVEL_TOP + LEVEL;
    let mut path = format!("M{:.1} {bottom}", x(curve.from_s));
    // Two values a pixel are more than enough.
    let mut last = curve.from_s;
    for (i, db) in curve.level_db.iter().enumerate().step_by(2) {
        let share = (1.0 - f64::from(top - db) / RANGE_DB).clamp(0.0, 1.0);
        last = curve.from_s + i as f64 * curve.step_s;
        let _ = write!(path, "L{:.1} {:.1}", x(last), bottom - share * LEVEL);
    }
    let _ = write!(path, "L{:.1} {bottom}Z", x(last));
    let _ = write!(svg, "<path class=\"level\" d=\"{path}\"/>");
}

/// A mark where a partial is caught in a slur or chips an attack.
fn caught(svg: &mut String, line: &Line, x: &impl Fn(f64) -> f64) {
    let slurs = line.slurs.iter().flat_map(|s| &s.caught);
    let chips = line
        .notes
        .iter()
        .filter_map(|n| n.measures.chipped.as_ref());
    for other in slurs.chain(chips) {
        let number = match other.tube.partial {
            0 => "?".into(),
            n => n.to_string(),
        };
        let _ = write!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.0}\" text-anchor=\"middle\">✕ {number}</text>",
            x(other.from_s),
            TOP + PITCH + 8.0
        );
    }
}
