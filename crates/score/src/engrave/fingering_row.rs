//! The row of fingerings or positions under a system: side by side, or stacked where notes are close.

use std::collections::HashMap;
use std::fmt::Write;

use routine::part::Note;

use super::system::System;
use crate::font::Type;
use crate::layout::Layout;
use crate::page::Measures;
use crate::svg::{self, Anchor};

/// The fingerings under a system, all on one base line.
pub(super) struct Row<'a> {
    entries: Vec<(f64, &'a Note)>,
    kind: Type,
    stacked: bool,
}

impl<'a> Row<'a> {
    /// The fingerings of the notes in a system, digits side by side.
    pub(super) fn of(
        system: &System,
        notes: &HashMap<&str, &'a Note>,
        layout: &Layout,
        measures: &Measures,
    ) -> Self {
        let entries: Vec<(f64, &Note)> = system
            .notes
            .iter()
            .filter_map(|p| Some((p.x, *notes.get(p.id.as_str())?)))
            .filter(|(_, note)| layout.fingerings.shows(&note.fingering))
            .collect();
        let kind = Type::sans(1.9 * measures.space).bold();
        Self {
            entries,
            kind,
            stacked: false,
        }
    }

    /// Digits one under the other: for every row of an exercise when one of its rows is crowded.
    pub(super) fn stacked(self, stacked: bool) -> Self {
        Self { stacked, ..self }
    }

    /// Whether neighbours side by side would come closer than a digit's width.
    pub(super) fn is_crowded(&self) -> bool {
        let half = |n: &Note| self.kind.width(&n.fingering.label) / 2.0;
        self.entries.windows(2).any(|pair| match pair {
            [(a, left), (b, right)] => b - a < half(left) + half(right) + 0.35 * self.kind.size,
            _ => false,
        })
    }

    /// Most digits that stand one under the other.
    fn most(&self) -> usize {
        let pieces = |(_, n): &(f64, &Note)| pieces(&n.fingering.label).len();
        let most = self.entries.iter().map(pieces).max();
        most.filter(|_| self.stacked).unwrap_or(1)
    }

    fn line(&self) -> f64 {
        self.kind.size * 0.92
    }

    /// Its height; none without fingerings.
    pub(super) fn height(&self) -> f64 {
        if self.entries.is_empty() {
            0.0
        } else {
            self.line() * self.most() as f64 + 0.25 * self.kind.size
        }
    }

    /// Draws the row with its top at `top`.
    pub(super) fn draw(&self, top: f64) -> String {
        let mut out = String::new();
        for (x, note) in &self.entries {
            let label = note.fingering.label.as_str();
            let pieces: Vec<&str> = if self.stacked {
                pieces(label)
            } else {
                vec![label]
            };
            let _ = write!(
                out,
                r#"<g class="fingering" data-note="{}">"#,
                svg::escape(&note.id)
            );
            for (index, piece) in pieces.iter().enumerate() {
                let base = top + self.line() * index as f64 + 0.75 * self.kind.size;
                out += &svg::text(*x, base, Anchor::Middle, self.kind, "", piece);
            }
            if note.fingering.alternate {
                out += &self.frame(*x, top, &pieces);
            }
            out.push_str("</g>");
        }
        out
    }

    /// The frame that marks an alternate.
    fn frame(&self, x: f64, top: f64, pieces: &[&str]) -> String {
        let widest = pieces
            .iter()
            .map(|p| self.kind.width(p))
            .fold(0.0, f64::max);
        let width = widest + 0.3 * self.kind.size;
        let height = self.line() * pieces.len() as f64 + 0.02 * self.kind.size;
        format!(
            r#"<rect x="{}" y="{}" width="{}" height="{}" rx="{}" fill="none" stroke="currentColor" stroke-width="0.6"/>"#,
            svg::number(x - width / 2.0),
            svg::number(top - 0.02 * self.kind.size),
            svg::number(width),
            svg::number(height),
            svg::number(0.15 * self.kind.size),
        )
    }
}

/// What stands one under the other of a stacked fingering: every valve, trigger and position by
/// itself.
fn pieces(label: &str) -> Vec<&str> {
    label.split('-').flat_map(signs).collect()
}

/// The signs of a text, one by one.
fn signs(text: &str) -> impl Iterator<Item = &str> {
    text.char_indices()
        .filter_map(|(at, sign)| text.get(at..at + sign.len_utf8()))
}

#[cfg(test)]
mod tests {
    use super::pieces;

    #[test]
    fn valves_triggers_and_positions_stand_by_themselves() {
        assert_eq!(pieces("1-2-3"), ["1", "2", "3"]);
        assert_eq!(pieces("T12"), ["T", "1", "2"]);
        assert_eq!(pieces("TM1"), ["T", "M", "1"]);
        assert_eq!(pieces("0"), ["0"]);
        assert!(pieces("").is_empty());
    }
}
