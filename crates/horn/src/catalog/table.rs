//! What every reading of every instrument makes of every note, as rows for other programs to check.

use serde::Serialize;
use tone::{Clef, Interval, Pitch, Sounding, Tuning, Written};

use super::catalog;

/// A reading and what it makes of every note.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingRow {
    /// Instrument id.
    pub instrument: String,
    /// Reading id within the instrument.
    pub reading: String,
    /// Name for people.
    pub name: String,
    /// The clef.
    pub clef: Clef,
    /// From written to sounding.
    pub interval: Interval,
    /// The same in words.
    pub in_words: String,
    /// Every note from C0 to C9.
    pub notes: Vec<ReadNote>,
}

/// One note, read both ways.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ReadNote {
    /// The note.
    pub pitch: Pitch,
    /// What sounds when it stands in the part.
    pub sounds: Sounding,
    /// What must stand in the part for it to sound.
    pub is_written: Written,
}

/// Every reading of every instrument of the catalogue, applied to every note from C0 to C9 with at
/// most one accidental.
///
/// ```
/// let rows = horn::catalog::reading_table();
/// let trumpet = rows.iter().find(|row| row.instrument == "trumpet-bflat").unwrap();
/// assert_eq!(trumpet.in_words, "major second down");
/// ```
#[must_use]
pub fn reading_table() -> Vec<ReadingRow> {
    let pitches: Vec<Pitch> = tone::pitch_table(&Tuning::default())
        .iter()
        .map(|row| row.pitch)
        .filter(|pitch| pitch.alter.abs() <= 1)
        .collect();
    let readings = catalog()
        .iter()
        .flat_map(|instrument| instrument.readings.iter().map(move |r| (instrument, r)));
    readings
        .map(|(instrument, reading)| ReadingRow {
            instrument: instrument.id.clone(),
            reading: reading.id.clone(),
            name: reading.name.clone(),
            clef: reading.clef,
            interval: reading.transposition.0,
            in_words: reading.transposition.0.name(),
            notes: pitches
                .iter()
                .map(|&pitch| ReadNote {
                    pitch,
                    sounds: reading.transposition.sounding(Written(pitch)),
                    is_written: reading.transposition.written(Sounding(pitch)),
                })
                .collect(),
        })
        .collect()
}
