//! A system as a block of the page: label above, music, a row of fingerings below.

use std::collections::HashMap;
use std::fmt::Write;

use routine::part::{Line, Note};
use tone::Language;

use super::fingering_row::Row;
use super::system::{Placed, System};
use crate::font::Type;
use crate::heard;
use crate::layout::Layout;
use crate::page::{Block, Measures, Role};
use crate::svg::{self, Anchor};
use crate::words::fill;

/// What stands around the staff of one system.
pub(super) struct Around<'a> {
    /// The line that the system belongs to.
    pub line: &'a Line,
    /// First system of its line.
    pub first: bool,
    /// Last system of its line.
    pub last: bool,
    /// Tempo to be told, where it differs from the line before.
    pub tempo: Option<f64>,
    /// Seconds of rest to be told in words, where there are no bars to count.
    pub rest_s: Option<f64>,
    /// The digits of a fingering stand one under the other.
    pub stacked: bool,
}

/// Distances in staff spaces.
const LABEL_ABOVE_STAFF: f64 = 2.2;
const LABEL_ABOVE_NOTE: f64 = 1.4;
const LABEL_ABOVE_EDGE: f64 = 1.0;
const ROW_BELOW: f64 = 0.5;

/// Sets a system with what stands around it.
pub(super) fn block(
    system: &System,
    around: &Around<'_>,
    layout: &Layout,
    measures: &Measures,
) -> Block {
    let notes = notes(around.line);
    let space = measures.space;
    let mut over = String::new();
    // How far down the music moves to make room above it.
    let mut down = 0.0_f64;
    let label = label(around, measures);
    if let Some((text, width)) = &label {
        let clear = |p: &&Placed| p.x < width + 2.0 * space;
        let highest = system
            .notes
            .iter()
            .filter(clear)
            .map(|p| p.y)
            .fold(f64::MAX, f64::min);
        let edges = system.edges.iter().filter(|(x, _)| *x < width + space);
        let edge = edges.map(|(_, y)| *y).fold(f64::MAX, f64::min);
        let base = (system.staff.0 - LABEL_ABOVE_STAFF * space)
            .min(highest - LABEL_ABOVE_NOTE * space)
            .min(edge - LABEL_ABOVE_EDGE * space);
        down = (measures.text - base).max(0.0);
        let _ = write!(
            over,
            r#"<g transform="translate(0 {})">{text}</g>"#,
            svg::number(base + down)
        );
    }
    if let Some(rest) = around.rest_s.filter(|_| around.last) {
        let kind = Type::sans(measures.text * 0.85);
        let base = system.staff.0 - LABEL_ABOVE_STAFF * space + down;
        let text = fill(layout.words().rest, &[&format!("{rest:.0}")]);
        over += &svg::text(
            system.right,
            base.max(kind.size),
            Anchor::End,
            kind,
            "",
            &text,
        );
        down = down.max(kind.size - (system.staff.0 - LABEL_ABOVE_STAFF * space));
    }
    let caption = if layout.captions {
        measures.text * heard::ROW_HEIGHT
    } else {
        0.0
    };
    let row = Row::of(system, &notes, layout, measures).stacked(around.stacked);
    let mut body = String::new();
    let _ = write!(
        body,
        r#"<g transform="translate(0 {})">{}"#,
        svg::number(caption),
        over
    );
    let _ = write!(
        body,
        r#"<g transform="translate(0 {})">{}</g>"#,
        svg::number(down),
        system.svg
    );
    body += &row.draw(system.height + down + ROW_BELOW * space);
    body.push_str("</g>");
    if layout.captions {
        body += &anchors(system, measures);
    }
    let height = caption + down + system.height + ROW_BELOW * space + row.height();
    let mut block = Block::new(
        Role::Music,
        height,
        body,
        words(around, system, &notes, layout.language),
    );
    block.defs.clone_from(&system.defs);
    block.gap = space * 1.5;
    block.keep = !around.last;
    block
}

/// Whether the fingerings under a system need stacked digits to stay apart.
pub(super) fn is_crowded(
    system: &System,
    line: &Line,
    layout: &Layout,
    measures: &Measures,
) -> bool {
    Row::of(system, &notes(line), layout, measures).is_crowded()
}

fn notes(line: &Line) -> HashMap<&str, &Note> {
    line.notes().map(|n| (n.id.as_str(), n)).collect()
}

/// The label of a line, with its tempo when that is new, and its width.
fn label(around: &Around<'_>, measures: &Measures) -> Option<(String, f64)> {
    if !around.first || (around.line.label.is_empty() && around.tempo.is_none()) {
        return None;
    }
    let kind = Type::serif(measures.text).italic();
    let text = kind
        .wrap(&around.line.label, measures.column() * 0.6, 1)
        .pop()
        .unwrap_or_default();
    let mut out = svg::text(0.0, 0.0, Anchor::Start, kind, "", &text);
    let mut width = kind.width(&text);
    if let Some(tempo) = around.tempo {
        let kind = Type::sans(measures.text * 0.9);
        let left = width + if width > 0.0 { measures.text } else { 0.0 };
        out += &crate::page::quarter(left + 0.3 * kind.size, 0.0, kind.size);
        let number = format!("= {}", svg::number(tempo));
        out += &svg::text(
            left + 0.9 * kind.size,
            0.0,
            Anchor::Start,
            kind,
            "",
            &number,
        );
        width = left + 0.9 * kind.size + kind.width(&number);
    }
    Some((out, width))
}

/// Empty groups, one for each note, that [`heard::tint`] fills: they stand at the note's x in the
/// row above the staff and know how far left of them the note before is.
fn anchors(system: &System, measures: &Measures) -> String {
    let mut out = String::from(r#"<g class="heard">"#);
    let mut before: Option<&Placed> = None;
    for placed in &system.notes {
        let y = measures.text * heard::FIGURE_BASE;
        let _ = write!(
            out,
            r#"<g id="{}-heard" class="caption" transform="translate({} {})" data-before="{}" data-size="{}"/>"#,
            svg::escape(&placed.id),
            svg::number(placed.x),
            svg::number(y),
            svg::number(before.map_or(0.0, |b| placed.x - b.x)),
            svg::number(measures.text),
        );
        before = Some(placed);
    }
    out.push_str("</g>");
    out
}

/// The system read aloud: label, then each note with its fingering.
fn words(
    around: &Around<'_>,
    system: &System,
    notes: &HashMap<&str, &Note>,
    language: Language,
) -> String {
    let spoken: Vec<String> = system
        .notes
        .iter()
        .filter_map(|p| notes.get(p.id.as_str()))
        .map(|note| {
            (
                note.written.0.named(language),
                note.fingering.label.as_str(),
            )
        })
        .map(|(name, label)| match label {
            "" => name,
            label => format!("{name} ({label})"),
        })
        .collect();
    let label = &around.line.label;
    if label.is_empty() {
        spoken.join(", ")
    } else {
        format!("{label}: {}.", spoken.join(", "))
    }
}
