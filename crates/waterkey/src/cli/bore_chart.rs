//! `explain --depth bore`: the notes as the computed bore gives them, with what each way costs.

use horn::resonant::ResonantWay;
use horn::{Instrument, Reading, Setup, ideal};
use serde::Serialize;
use tone::{Pitch, Sounding, Tuning};

use super::explain::{carried, cents, unreachable_note};
use super::{Failure, Output, pick};

/// Ways of each note in the table of the whole compass.
const WAYS: usize = 3;

/// What was asked about.
pub(super) struct Asked<'a> {
    /// A note; the usual compass without.
    pub(super) note: Option<&'a str>,
    /// Whether the note is meant as sounding.
    pub(super) concert: bool,
    /// How the player reads.
    pub(super) reading: Option<&'a str>,
    /// What cents are counted from.
    pub(super) tuning: Tuning,
    /// Pitch class over which just intervals are counted, 0 = C.
    pub(super) root: u8,
}

/// One note with all ways to it.
#[derive(Serialize)]
struct Row<'a> {
    written: String,
    sounding: String,
    midi: i32,
    hz: f64,
    ways: &'a [ResonantWay],
}

/// Prints the chart of the bore, or one note of it with the reasons.
pub(super) fn run(setup: &Setup, asked: &Asked<'_>, output: &Output) -> Result<(), Failure> {
    let instrument = &setup.instrument;
    let reading = pick::reading(instrument, asked.reading)?;
    let tuning = asked.tuning;
    let chart = setup.chart(&tuning, asked.root)?;
    let row = |sounding: Sounding| Row {
        written: reading.transposition.written(sounding).to_string(),
        sounding: sounding.to_string(),
        midi: sounding.midi(),
        hz: tuning.frequency(sounding).0,
        ways: chart.notes.get(&sounding.midi()).map_or(&[], Vec::as_slice),
    };
    if let Some(text) = asked.note {
        let (written, sounding) = pick::note(text, asked.concert, reading)?;
        let row = row(sounding);
        if row.ways.is_empty() {
            let ideal = ideal::chart(instrument, &tuning);
            return Err(unreachable_note(
                instrument,
                reading,
                &ideal,
                &written.to_string(),
            ));
        }
        return output.show(&row, |row| one(setup, row));
    }
    let range = instrument.standard_range();
    let rows: Vec<Row<'_>> = range
        .into_iter()
        .flatten()
        .map(|midi| row(Sounding(Pitch::from_midi(midi))))
        .collect();
    output.show(&rows, |rows| table(instrument, setup, reading, rows))
}

fn head(setup: &Setup) -> String {
    format!("{}, air at {:.1} C", setup.bore.name, setup.air.temperature)
}

fn pressure(way: &ResonantWay) -> String {
    way.threshold
        .map_or_else(|| "-".into(), |pascal| format!("{:.1}", pascal / 1000.0))
}

fn one(setup: &Setup, row: &Row<'_>) -> String {
    let mut text = format!(
        "{}: written {} sounds {} ({:.2} Hz)\n{:>8}  {:14} {:>7} {:>7} {:>7} {:>7} {:>8}\n",
        head(setup),
        row.written,
        row.sounding,
        row.hz,
        "length",
        "carried by",
        "cents",
        "just",
        "kPa",
        "slot c",
        "support"
    );
    for way in row.ways {
        text += &format!(
            "{:>8}  {:14} {:>7} {:>+7.1} {:>7} {:>7.0} {:>8.1}\n          {}\n",
            way.fingering.label,
            carried(&way.fingering),
            cents(&way.fingering),
            way.cents_just.0,
            pressure(way),
            way.slot_cents,
            way.support / 1e6,
            way.fingering.reason
        );
    }
    text + "support: mean |Z| at the harmonics, MPas/m3. Thresholds and slots rest on a model of the lips:\n\
            estimates to compare by.\n"
}

fn table(instrument: &Instrument, setup: &Setup, reading: &Reading, rows: &[Row<'_>]) -> String {
    let mut text = format!(
        "{} ({}, {})\n{:>7} {:>8}  first choices: cents / kPa / slot in cents\n",
        head(setup),
        instrument.name,
        reading.name,
        "written",
        "sounding"
    );
    for row in rows {
        let ways = row.ways.iter().take(WAYS).map(|way| {
            format!(
                "{:<7} {:>6} / {:>4} / {:<4.0}",
                way.fingering.label,
                cents(&way.fingering),
                pressure(way),
                way.slot_cents
            )
        });
        text += &format!(
            "{:>7} {:>8}  {}\n",
            row.written,
            row.sounding,
            ways.collect::<Vec<_>>().join("   ")
        );
    }
    text
}
