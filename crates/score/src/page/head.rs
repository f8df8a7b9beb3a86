//! What stands above and below the music: title, purpose, words, cautions, what was left out.

use routine::part::{Line, Part, Section};

use super::{Block, Measures, Role};
use crate::font::Type;
use crate::layout::{Fingerings, Layout};
use crate::svg::{self, Anchor};
use crate::words::{Words, fill};

/// Title, purpose, player and date, words and cautions: the top of a part's first page.
#[must_use]
pub fn opening(part: &Part, layout: &Layout, measures: &Measures) -> Vec<Block> {
    let mut blocks = vec![corners(part, layout, measures)];
    blocks.extend(title(part, layout.words(), measures));
    let purpose = Type::serif(measures.text * 1.1).italic();
    let mut purpose = centred(&part.purpose, purpose, measures);
    if let Some(first) = purpose.first_mut() {
        first.gap = measures.text * 0.5;
    }
    blocks.extend(purpose);
    blocks.extend(paragraph(
        &part.words,
        Type::serif(measures.text),
        measures,
        7.0,
    ));
    let care = Type::sans(measures.text * 0.88);
    for caution in &part.cautions {
        blocks.extend(paragraph(
            &fill(layout.words().care, &[caution]),
            care,
            measures,
            4.0,
        ));
    }
    if let Some(legend) = legend(part, layout) {
        blocks.extend(paragraph(&legend, care, measures, 4.0));
    }
    blocks.into_iter().map(Block::keep).collect()
}

/// Instrument at the left, player and date at the right.
fn corners(part: &Part, layout: &Layout, measures: &Measures) -> Block {
    let kind = Type::sans(measures.text * 0.95);
    let right = [part.player.as_str(), layout.date.as_str()];
    let right: Vec<&str> = right.into_iter().filter(|t| !t.trim().is_empty()).collect();
    let right = right.join(" · ");
    let column = measures.column();
    let fit = |text: &str| kind.wrap(text, column * 0.48, 1).pop().unwrap_or_default();
    let (left, right) = (fit(&part.instrument_name), fit(&right));
    let y = kind.size;
    let mut out = svg::text(0.0, y, Anchor::Start, kind.bold(), "", &left);
    out += &svg::text(column, y, Anchor::End, kind, "", &right);
    Block::new(Role::Text, kind.size * 1.3, out, format!("{left}. {right}"))
}

/// The title, smaller when it is long, on as many lines as it takes.
fn title(part: &Part, words: &Words, measures: &Measures) -> Vec<Block> {
    let text = if part.title.trim().is_empty() {
        words.untitled
    } else {
        &part.title
    };
    let size = if text.chars().count() > 60 { 1.5 } else { 2.2 };
    let kind = Type::serif(measures.text * size).bold();
    let mut blocks: Vec<Block> = centred(text, kind, measures);
    for block in &mut blocks {
        block.role = Role::Title;
        block.gap = 2.0;
    }
    if let Some(first) = blocks.first_mut() {
        first.gap = measures.text * 0.8;
        first.outline = Some(1);
        first.words = text.to_owned();
    }
    blocks
}

fn centred(text: &str, kind: Type, measures: &Measures) -> Vec<Block> {
    kind.wrap(text, measures.column() * 0.92, usize::MAX)
        .into_iter()
        .map(|line| {
            let x = measures.column() / 2.0;
            let out = svg::text(x, kind.size, Anchor::Middle, kind, "", &line);
            Block::new(Role::Text, kind.size * 1.28, out, line)
        })
        .collect()
}

/// Lines of running text, the first with `gap` above it.
fn paragraph(text: &str, kind: Type, measures: &Measures, gap: f64) -> Vec<Block> {
    kind.wrap(text, measures.column(), usize::MAX)
        .into_iter()
        .enumerate()
        .map(|(index, line)| {
            let out = svg::text(0.0, kind.size, Anchor::Start, kind, "", &line);
            let block = Block::new(Role::Text, kind.size * 1.3, out, line);
            block.gap(if index == 0 { gap } else { 0.0 })
        })
        .collect()
}

/// What a frame around a fingering means, when one will be seen.
fn legend(part: &Part, layout: &Layout) -> Option<String> {
    let framed = layout.fingerings != Fingerings::Never
        && part
            .lines
            .iter()
            .flat_map(Line::notes)
            .any(|n| n.fingering.alternate);
    framed.then(|| layout.words().framed.to_owned())
}

/// The heading of an exercise: its title and tempo, purpose and words.
///
/// The title and purpose are left out when the part has said the same.
#[must_use]
pub fn section(
    part: &Part,
    section: Option<&Section>,
    lines: &[Line],
    layout: &Layout,
    measures: &Measures,
) -> Vec<Block> {
    let mut blocks = Vec::new();
    let name = section.map_or_else(
        || {
            lines
                .first()
                .map(|l| l.exercise.as_str())
                .unwrap_or_default()
        },
        |s| s.title.as_str(),
    );
    let kind = Type::serif(measures.text * 1.35).bold();
    let heard_before = part.sections.len() <= 1 && (name.is_empty() || name == part.title);
    let marks = Marks::of(lines);
    if !heard_before {
        for (index, line) in kind
            .wrap(name, measures.column() * 0.72, 3)
            .into_iter()
            .enumerate()
        {
            let mut out = svg::text(0.0, kind.size, Anchor::Start, kind, "", &line);
            if index == 0 {
                out += &marks.draw(measures.column(), kind.size, measures);
            }
            let mut block = Block::new(Role::Heading, kind.size * 1.3, out, line);
            if index == 0 {
                block.gap = measures.text * 1.8;
                block.outline = Some(2);
                block.words = name.to_owned();
            }
            blocks.push(block);
        }
    } else {
        let out = marks.draw(measures.column(), measures.text * 1.2, measures);
        let block = Block::new(
            Role::Text,
            measures.text * 1.5,
            out,
            marks.said(layout.words()),
        );
        blocks.push(block.gap(measures.text * 0.5));
    }
    if let Some(section) = section.filter(|_| !heard_before) {
        let text = Type::serif(measures.text);
        blocks.extend(paragraph(&section.purpose, text.italic(), measures, 1.0));
        if section.words != part.words {
            blocks.extend(paragraph(&section.words, text, measures, 3.0));
        }
        let care = Type::sans(measures.text * 0.88);
        for caution in section
            .cautions
            .iter()
            .filter(|c| !part.cautions.contains(c))
        {
            blocks.extend(paragraph(
                &fill(layout.words().care, &[caution]),
                care,
                measures,
                2.0,
            ));
        }
    }
    blocks.into_iter().map(Block::keep).collect()
}

/// The tempo of an exercise, for its heading.
struct Marks {
    tempo: Option<f64>,
}

impl Marks {
    fn of(lines: &[Line]) -> Self {
        let first = lines.first();
        Self {
            tempo: first.map(|l| l.tempo).filter(|t| t.is_finite() && *t > 0.0),
        }
    }

    fn said(&self, words: &Words) -> String {
        let said = self
            .tempo
            .map(|tempo| fill(words.tempo, &[&svg::number(tempo)]));
        said.unwrap_or_default()
    }

    /// The metronome mark, ending at `right` on the base line `y`.
    fn draw(&self, right: f64, y: f64, measures: &Measures) -> String {
        let Some(tempo) = self.tempo else {
            return String::new();
        };
        let kind = Type::sans(measures.text);
        let number = format!("= {}", svg::number(tempo));
        let left = right - kind.width(&number);
        let mut out = svg::text(right, y, Anchor::End, kind, "", &number);
        out += &quarter(left - 0.75 * kind.size, y, kind.size);
        out
    }
}

/// A quarter note with its head centred at `x` on the base line.
#[must_use]
pub(crate) fn quarter(x: f64, y: f64, size: f64) -> String {
    let (rx, ry) = (0.26 * size, 0.18 * size);
    let head = y - ry;
    let (cx, cy) = (svg::number(x), svg::number(head));
    let stem = svg::line(
        (x + rx * 0.9, head - ry * 0.4),
        (x + rx * 0.9, head - 1.05 * size),
        0.07 * size,
        r#" stroke="currentColor""#,
    );
    format!(
        r#"<g class="quarter"><ellipse cx="{cx}" cy="{cy}" rx="{}" ry="{}" transform="rotate(-20 {cx} {cy})"/>{stem}</g>"#,
        svg::number(rx),
        svg::number(ry),
    )
}

/// After the music: time of playing and rest, what was left out and why, limits gone over.
#[must_use]
pub fn closing(part: &Part, layout: &Layout, measures: &Measures) -> Vec<Block> {
    let kind = Type::sans(measures.text * 0.88);
    let words = layout.words();
    let mut blocks = Vec::new();
    let totals = part.totals;
    if totals.playing_s > 0.0 {
        let times = [minutes(totals.playing_s), minutes(totals.rest_s)];
        let text = fill(words.time, &[&times[0], &times[1]]);
        blocks.extend(paragraph(&text, kind, measures, measures.text));
    }
    for omission in &part.left_out {
        let text = fill(words.left_out, &[&omission.what, &omission.why]);
        blocks.extend(paragraph(&text, kind, measures, 2.0));
    }
    for warning in &part.warnings {
        blocks.extend(paragraph(warning, kind, measures, 2.0));
    }
    blocks
}

/// `2 min 05 s`, or `45 s`.
fn minutes(seconds: f64) -> String {
    let whole = seconds.round().max(0.0) as u64;
    if whole < 60 {
        format!("{whole} s")
    } else {
        format!("{} min {:02} s", whole / 60, whole % 60)
    }
}
