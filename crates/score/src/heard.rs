//! The heard part: the engraved music with each note coloured and captioned by what was heard.
//!
//! Flat is blue with an arrow down, sharp is orange with an arrow up, each with its figure in
//! cents, so that colour is never alone. A partial caught in a slur is a small open diamond with its
//! number, in a bracket from note to note above the figures; a note not played is grey with a dash.

use std::collections::HashMap;
use std::fmt::Write;

use roxmltree::Document;
use serde::{Deserialize, Serialize};
use tone::Language;

use crate::Error;
use crate::font::Type;
use crate::svg::{self, Anchor};
use crate::words::{Words, fill};

/// Flat.
pub const FLAT: &str = "#1b5fc1";
/// Sharp.
pub const SHARP: &str = "#c45a00";
/// Not played, or not measured.
pub const UNHEARD: &str = "#8a8a8a";

/// Within this many cents a note is drawn in ink: the width of a just-noticeable difference for
/// successive tones (5 cents; Moore, An Introduction to the Psychology of Hearing; from memory).
pub const IN_TUNE_CENTS: f64 = 5.0;

/// What was heard of one note.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct NoteMark {
    /// Id of the note in the part.
    pub id: String,
    /// Cents from the target, positive sharp; `None` when it could not be measured.
    pub cents: Option<f64>,
    /// True when the note was not played.
    pub missing: bool,
    /// Partials that held on the way from the note before, in order.
    pub caught: Vec<u8>,
    /// A few characters more, under the figure, such as `chipped`; empty for none.
    pub caption: String,
}

impl NoteMark {
    /// Colour of the note; `None` for ink.
    #[must_use]
    pub fn colour(&self) -> Option<&'static str> {
        match self.cents {
            _ if self.missing => Some(UNHEARD),
            None => Some(UNHEARD),
            Some(cents) if cents < -IN_TUNE_CENTS => Some(FLAT),
            Some(cents) if cents > IN_TUNE_CENTS => Some(SHARP),
            Some(_) => None,
        }
    }

    /// Figure with its arrow, as it stands above the note; `0` within the tolerance is said too.
    #[must_use]
    pub fn figure(&self) -> String {
        match self.cents {
            _ if self.missing => "–".to_owned(),
            None => "?".to_owned(),
            Some(cents) => {
                let whole = cents.round();
                match whole {
                    w if w < 0.0 => format!("↓{}", svg::number(-w)),
                    w if w > 0.0 => format!("↑{}", svg::number(w)),
                    _ => "0".to_owned(),
                }
            }
        }
    }

    /// The mark in words.
    fn said(&self, words: &Words) -> String {
        let mut said = match self.cents {
            _ if self.missing => words.not_played.to_owned(),
            None => words.not_measured.to_owned(),
            Some(c) if c.round() < 0.0 => fill(words.flat, &[&svg::number(-c.round())]),
            Some(c) if c.round() > 0.0 => fill(words.sharp, &[&svg::number(c.round())]),
            Some(_) => words.in_tune.to_owned(),
        };
        for partial in &self.caught {
            said += ", ";
            said += &fill(words.caught, &[&partial.to_string()]);
        }
        if !self.caption.is_empty() {
            said += ", ";
            said += &self.caption;
        }
        said
    }
}

/// Colours and captions the notes of an engraved page or line.
///
/// The drawing must come from [`crate::layout::Layout`] with `captions` set, which leaves a row
/// above each staff; marks whose id is not in it are passed over, so one list serves all pages.
///
/// # Errors
///
/// [`Error::Picture`] when the drawing is no SVG.
pub fn tint(drawing: &str, marks: &[NoteMark], language: Language) -> Result<String, Error> {
    let words = Words::of(language);
    let marks: HashMap<&str, &NoteMark> = marks.iter().map(|m| (m.id.as_str(), m)).collect();
    let document = Document::parse(drawing).map_err(|e| Error::Picture(e.to_string()))?;
    // Insertions at byte offsets, made from the end so that the offsets stay true.
    let mut edits: Vec<(usize, usize, String)> = Vec::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let (Some(id), Some(class)) = (node.attribute("id"), node.attribute("class")) else {
            continue;
        };
        match class {
            "note" => {
                // A tied piece `l1n2-2` goes with its note.
                let whole = id.split_once('-').map_or(id, |(whole, _)| whole);
                let Some(mark) = marks.get(id).or_else(|| marks.get(whole)) else {
                    continue;
                };
                let at = node.range().start + "<g".len();
                if let Some(colour) = mark.colour() {
                    edits.push((at, at, format!(r#" color="{colour}" fill="{colour}""#)));
                }
            }
            "caption" => {
                let Some(mark) = id.strip_suffix("-heard").and_then(|id| marks.get(id)) else {
                    continue;
                };
                let number = |name| {
                    node.attribute(name)
                        .and_then(|v: &str| v.parse::<f64>().ok())
                };
                let group = caption(
                    mark,
                    number("data-before").unwrap_or(0.0),
                    number("data-size").unwrap_or(10.5),
                    words,
                );
                let range = node.range();
                let whole = drawing.get(range.clone()).unwrap_or_default();
                let open = whole.trim_end_matches("/>");
                edits.push((range.start, range.end, format!("{open}>{group}</g>")));
            }
            _ => {}
        }
    }
    edits.sort_by_key(|(start, ..)| *start);
    let mut out = String::with_capacity(drawing.len() * 2);
    let mut at = 0;
    for (start, end, text) in edits {
        out.push_str(drawing.get(at..start).unwrap_or_default());
        out.push_str(&text);
        at = end;
    }
    out.push_str(drawing.get(at..).unwrap_or_default());
    Ok(out)
}

/// A drawing without its `svg` element, tinted, and what was heard in words.
#[cfg(feature = "engrave")]
pub(crate) fn tint_fragment(
    fragment: &str,
    marks: &[NoteMark],
    language: Language,
) -> Result<(String, String), Error> {
    const OPEN: &str =
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">"#;
    const CLOSE: &str = "</svg>";
    let tinted = tint(&format!("{OPEN}{fragment}{CLOSE}"), marks, language)?;
    let inner = tinted
        .strip_prefix(OPEN)
        .and_then(|t| t.strip_suffix(CLOSE));
    let words = Words::of(language);
    let mut said = String::new();
    for mark in marks {
        if fragment.contains(&format!(r#"id="{}-heard""#, svg::escape(&mark.id))) {
            said += &if said.is_empty() {
                format!(" {}: ", words.heard)
            } else {
                "; ".to_owned()
            };
            said += &mark.said(words);
        }
    }
    Ok((inner.unwrap_or(fragment).to_owned(), said))
}

/// The row above a staff, in sizes of the text: base lines of the three rows that a note may
/// need (partials caught on the way to it, its figure, its caption), and the height of all.
const CAUGHT_BASE: f64 = 0.75;
pub(crate) const FIGURE_BASE: f64 = 1.5;
const CAPTION_BASE: f64 = 2.1;
#[cfg(feature = "engrave")]
pub(crate) const ROW_HEIGHT: f64 = 2.4;

/// What stands above a note, with (0, 0) at the note's x on the base line of the figures;
/// `before` is how far left the note before stands, `size` that of the text.
fn caption(mark: &NoteMark, before: f64, size: f64, words: &Words) -> String {
    let kind = Type::sans(0.72 * size).bold();
    let colour = mark.colour().unwrap_or("currentColor");
    let fill = format!(r#" fill="{colour}""#);
    let mut out = format!("<title>{}</title>", svg::escape(&mark.said(words)));
    out += &svg::text(0.0, 0.0, Anchor::Middle, kind, &fill, &mark.figure());
    if !mark.caption.is_empty() {
        let small = Type::sans(0.58 * size);
        let y = (CAPTION_BASE - FIGURE_BASE) * size;
        out += &svg::text(0.0, y, Anchor::Middle, small, &fill, &mark.caption);
    }
    if !mark.caught.is_empty() {
        out += &caught(&mark.caught, before, size);
    }
    out
}

/// A bracket from the note before to this one, with the caught partials in its middle, each as a
/// small open diamond and its number.
fn caught(partials: &[u8], before: f64, size: f64) -> String {
    let kind = Type::sans(0.62 * size).bold();
    let half = 0.19 * size;
    let base = (CAUGHT_BASE - FIGURE_BASE) * size;
    let middle = base - 0.33 * kind.size;
    let numbers: Vec<String> = partials.iter().map(u8::to_string).collect();
    let widths = numbers.iter().map(|n| 3.0 * half + kind.width(n));
    let wide = widths.clone().sum::<f64>() + 0.3 * size * (numbers.len() as f64 - 1.0);
    let mut x = -before / 2.0 - wide / 2.0;
    let (from, to) = (x - 0.3 * size, x + wide + 0.3 * size);
    let mut out = String::new();
    for (end, edge) in [(-before, from), (0.0, to)] {
        if before > 0.0 && (end - edge).abs() > 0.2 * size && (end < edge) == (end < 0.0) {
            let _ = write!(
                out,
                r#"<path d="M{} {} V{} H{}" fill="none" stroke="currentColor" stroke-width="0.6"/>"#,
                svg::number(end),
                svg::number(middle + 0.3 * size),
                svg::number(middle),
                svg::number(edge),
            );
        }
    }
    for (number, width) in numbers.iter().zip(widths) {
        let (d, s) = (svg::number(half), svg::number(half * 1.25));
        let _ = write!(
            out,
            r#"<path d="M{} {} l{d} -{s} l{d} {s} l-{d} {s} z" fill="none" stroke="currentColor" stroke-width="0.8"/>"#,
            svg::number(x),
            svg::number(middle),
        );
        out += &svg::text(x + 3.0 * half, base, Anchor::Start, kind, "", number);
        x += width + 0.3 * size;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(cents: f64) -> NoteMark {
        NoteMark {
            id: "l1n1".into(),
            cents: Some(cents),
            ..NoteMark::default()
        }
    }

    #[test]
    fn colour_is_never_alone() {
        assert_eq!(
            (mark(-12.4).colour(), mark(-12.4).figure()),
            (Some(FLAT), "↓12".to_owned())
        );
        assert_eq!(
            (mark(9.0).colour(), mark(9.0).figure()),
            (Some(SHARP), "↑9".to_owned())
        );
        assert_eq!(
            (mark(0.2).colour(), mark(0.2).figure()),
            (None, "0".to_owned())
        );
        let unheard = NoteMark::default();
        assert_eq!(
            (unheard.colour(), unheard.figure()),
            (Some(UNHEARD), "?".to_owned())
        );
    }

    #[test]
    fn marks_reach_the_note_and_its_row() {
        let drawing = r#"<svg xmlns="http://www.w3.org/2000/svg"><g id="l1n1" class="note"><path d="M0 0"/></g><g id="l1n1-2" class="note"/><g id="l1n1-heard" class="caption" transform="translate(9 9)" data-before="30"/></svg>"#;
        let mut heard = mark(-12.0);
        heard.caught = vec![5];
        heard.caption = "<chipped>".into();
        let out = tint(drawing, &[heard, mark(3.0).clone()], Language::En).unwrap();
        Document::parse(&out).unwrap();
        let out = tint(
            drawing,
            &[NoteMark {
                caught: vec![5],
                ..mark(-12.0)
            }],
            Language::En,
        )
        .unwrap();
        assert_eq!(
            out.matches(&format!(r#"color="{FLAT}""#)).count(),
            2,
            "{out}"
        );
        assert!(out.contains("↓12") && out.contains("caught partial 5"));
        assert_eq!(tint(drawing, &[], Language::En).unwrap(), drawing);
        assert!(tint("no drawing", &[], Language::En).is_err());
    }
}
