//! The fingering chart: every note of the compass on the staff, the usual fingering below it and
//! the alternates with their cents.

use horn::{Chart, Fingering, Instrument, NoteKind, Reading};
use routine::words::say;
use tone::{Language, Pitch, Written};

use super::staff::{Staff, name, name_at};
use super::{EDGE, HEIGHT, Theme, WIDTH, fill, slide};
use crate::Error;
use crate::font::Type;
use crate::svg::{self, Anchor};
use crate::words::{Words, fill as filled};

/// Notes in a row, at most.
const PER_ROW: usize = 16;
/// Rows on the slide, at most.
const ROWS: usize = 3;
/// Alternates under a note, at most.
const ALTERNATES: usize = 2;

/// The chart of an instrument from `low` to `high` (written, both included).
///
/// # Errors
///
/// [`Error::Picture`] when no note lies between them, or more than 48 do.
pub fn fingering_chart(
    instrument: &Instrument,
    reading: &Reading,
    chart: &Chart,
    (low, high): (Written, Written),
    theme: &Theme,
    language: Language,
) -> Result<String, Error> {
    let said = Words::of(language);
    let notes: Vec<Pitch> = (low.midi()..=high.midi())
        .take(1000)
        .map(Pitch::from_midi)
        .collect();
    if notes.is_empty() || notes.len() > PER_ROW * ROWS {
        return Err(Error::Picture(format!(
            "a chart from {low} to {high} has {} notes; choose 1 to {}",
            notes.len(),
            PER_ROW * ROWS
        )));
    }
    let rows = notes.len().div_ceil(PER_ROW);
    let per_row = notes.len().div_ceil(rows);
    let height = (HEIGHT - 190.0 - 60.0) / rows as f64;
    let mut body = String::new();
    let mut spoken = Vec::new();
    for (row, notes) in notes.chunks(per_row).enumerate() {
        let top = 190.0 + row as f64 * height;
        body += &draw_row(
            notes,
            reading,
            chart,
            (top, height),
            per_row,
            (theme, language),
            &mut spoken,
        );
    }
    let foot = Type::sans(24.0);
    body += &svg::text(
        EDGE,
        HEIGHT - 28.0,
        Anchor::Start,
        foot,
        &fill(theme.dim),
        said.chart_key,
    );
    Ok(slide(
        &filled(said.fingerings, &[&say(&instrument.name, language)]),
        &say(&reading.name, language),
        theme,
        &spoken.join("; "),
        &body,
    ))
}

/// One staff with the fingerings under it.
fn draw_row(
    notes: &[Pitch],
    reading: &Reading,
    chart: &Chart,
    (top, height): (f64, f64),
    per_row: usize,
    (theme, language): (&Theme, Language),
    spoken: &mut Vec<String>,
) -> String {
    let words = Words::of(language);
    let room = WIDTH - 2.0 * EDGE;
    let text_height = 150.0;
    let probe = Staff {
        x: 0.0,
        width: 0.0,
        top: 0.0,
        space: 1.0,
        clef: reading.clef,
        theme,
    };
    let ys = notes.iter().map(|n| probe.y(*n));
    let up = ys.clone().fold(-1.8, f64::min) - 0.8;
    let down = ys.fold(5.0, f64::max) + 0.8;
    let space = ((height - text_height) / (down - up)).min(16.0);
    let staff = Staff {
        x: EDGE,
        width: room,
        top: top - up * space,
        space,
        clef: reading.clef,
        theme,
    };
    let base = top + (down - up) * space + 30.0;
    let mut out = staff.draw();
    let step = (room - 110.0) / per_row as f64;
    for (index, pitch) in notes.iter().enumerate() {
        let x = EDGE + 110.0 + (index as f64 + 0.5) * step;
        out += &staff.note(*pitch, x);
        let sounding = reading.transposition.sounding(Written(*pitch));
        let ways = chart.ways(sounding.midi());
        let label = Type::sans(22.0);
        out += &name_at(*pitch, language, (x, base), label, theme.dim);
        let Some(usual) = ways.first() else {
            out += &svg::text(x, base + 44.0, Anchor::Middle, Type::sans(36.0), "", "–");
            spoken.push(format!("{}: {}", name(*pitch, language), words.none));
            continue;
        };
        let kind = Type::sans(38.0).bold();
        out += &svg::text(
            x,
            base + 44.0,
            Anchor::Middle,
            kind,
            "",
            &marked(usual, words),
        );
        spoken.push(format!("{}: {}", name(*pitch, language), usual.label));
        for (row, way) in ways.iter().skip(1).take(ALTERNATES).enumerate() {
            let y = base + 76.0 + 30.0 * row as f64;
            let (colour, figure) = theme.cents(way.cents.0);
            let small = Type::sans(23.0);
            let (left, right) = (marked(way, words), format!(" {figure}"));
            let whole = small.width(&left) + small.width(&right);
            let start = x - whole / 2.0;
            out += &svg::text(start, y, Anchor::Start, small, "", &left);
            let at = start + small.width(&left) + small.width(" ") * 1.4;
            out += &svg::text(
                at,
                y,
                Anchor::Start,
                small.bold(),
                &fill(colour),
                right.trim(),
            );
        }
    }
    out
}

/// The label of a fingering with what kind of note it gives.
fn marked(way: &Fingering, words: &Words) -> String {
    match way.kind {
        NoteKind::Partial => way.label.clone(),
        NoteKind::Pedal => filled(words.pedal, &[&way.label]),
        NoteKind::False => format!("{} ·", way.label),
    }
}
