//! The chart as a table: a row for each note, its ways side by side.

use crate::NoteKind;
use crate::resonant::ResonantChart;

use super::frame::{Sheet, cents_mark, pitch_name};

const ROW: f64 = 34.0;
const TOP: f64 = 128.0;
/// Ways shown of each note.
const WAYS: usize = 4;
const FIRST: f64 = 150.0;
const COLUMN: f64 = 275.0;

/// The notes from `low` to `high` (sounding MIDI keys), highest first, as SVG: for each way its length,
/// partial, cents, threshold and slot width.
#[must_use]
pub fn chart_table(chart: &ResonantChart, name: &str, low: i32, high: i32) -> String {
    let rows: Vec<_> = if low <= high {
        chart.notes.range(low..=high).rev().collect()
    } else {
        Vec::new()
    };
    let mut sheet = Sheet::new(
        &format!("{name}: every note, every way"),
        TOP + ROW * rows.len() as f64 + 30.0,
    );
    let line = format!(
        "A4 = {:.0} Hz, air {:.0} °C. Sounding notes; each way: fingering, partial, cents, threshold kPa / slot cents",
        chart.tuning.a4.0, chart.air.temperature
    );
    sheet.text("small", (60.0, 76.0), &line);
    for (i, (midi, ways)) in rows.into_iter().enumerate() {
        let y = TOP + ROW * i as f64;
        sheet.line("grid", (60.0, y + 10.0), (1240.0, y + 10.0));
        sheet.text("", (60.0, y), &pitch_name(*midi));
        for (k, way) in ways.iter().take(WAYS).enumerate() {
            let x = FIRST + COLUMN * k as f64;
            let f = &way.fingering;
            let kind = match f.kind {
                NoteKind::Partial => format!("p{}", f.partial),
                NoteKind::Pedal => "pedal".to_owned(),
                NoteKind::False => "false".to_owned(),
            };
            let (class, mark) = cents_mark(f.cents.0);
            sheet.text("", (x, y), &f.label);
            sheet.text("small", (x + 62.0, y), &kind);
            sheet.text(&format!("small {class}"), (x + 112.0, y), &mark);
            let figures = way.threshold.map_or("-".to_owned(), |p| {
                format!("{:.1} / {:.0}", p / 1000.0, way.slot_cents)
            });
            sheet.text("small", (x + 168.0, y), &figures);
        }
        if ways.len() > WAYS {
            sheet.text("small end", (1262.0, y), &format!("+{}", ways.len() - WAYS));
        }
    }
    sheet.finish()
}
