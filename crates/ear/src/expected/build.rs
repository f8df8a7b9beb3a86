//! From a player's part to what the ear expects.

use horn::{Chart, Fingering, Instrument};
use routine::part::{Event, Note, Part};
use tone::{Hertz, Tuning};

use super::{Expected, ExpectedLine, ExpectedNote, TubePartial};

/// The highest partial that a lip is taken to fall onto (common practice, no source: the 16th
/// is the top of the horn's usual compass; 20 leaves room above it).
const TOP_PARTIAL: u8 = 20;

/// What a part asks for, in the frequencies of `tuning`.
///
/// The tube's partials come from the chart where it has them (the bore's own places) and from
/// whole multiples of the length's fundamental (the ideal tube) everywhere else, moved to the
/// pitch standard of `tuning`.
#[must_use]
pub fn from_part(part: &Part, instrument: &Instrument, chart: &Chart, tuning: &Tuning) -> Expected {
    let lines = part.lines.iter().map(|line| {
        let tempo = if line.tempo > 0.0 { line.tempo } else { 60.0 };
        let mut start_s = 0.0;
        let mut notes = Vec::new();
        for event in &line.events {
            match event {
                Event::Note(note) => {
                    let seconds = note.duration.seconds(tempo);
                    notes.push(expected_note(
                        note, start_s, seconds, instrument, chart, tuning,
                    ));
                    start_s += seconds;
                }
                Event::Rest { duration } => start_s += duration.seconds(tempo),
                Event::Breath => {}
            }
        }
        ExpectedLine {
            id: line.id.clone(),
            label: line.label.clone(),
            exercise: line.exercise.clone(),
            root_hz: tuning.frequency(line.root).0,
            notes,
            rest_after_s: line.rest_after.seconds(tempo),
        }
    });
    Expected {
        lines: lines.collect(),
    }
}

fn expected_note(
    note: &Note,
    start_s: f64,
    seconds: f64,
    instrument: &Instrument,
    chart: &Chart,
    tuning: &Tuning,
) -> ExpectedNote {
    ExpectedNote {
        id: note.id.clone(),
        midi: note.sounding.midi(),
        hz: tuning.frequency(note.sounding).0,
        start_s,
        seconds,
        slurred: note.slurred,
        partial: note.fingering.partial,
        tube: tube(note, instrument, chart, tuning),
    }
}

fn tube(note: &Note, instrument: &Instrument, chart: &Chart, tuning: &Tuning) -> Vec<TubePartial> {
    let id = note.fingering.length;
    let Some(length) = instrument.length(id) else {
        return Vec::new();
    };
    let standard = tuning.a4.0 / 440.0;
    let of_length = |way: &&Fingering| way.length == id;
    (1..=TOP_PARTIAL)
        .map(|partial| {
            let ideal = length.fundamental.0 * f64::from(partial) * standard;
            let charted = chart
                .notes
                .values()
                .flat_map(|ways| ways.iter().filter(of_length))
                .find(|way| way.partial == partial)
                .map(|way| way.frequency);
            let Hertz(hz) = charted.unwrap_or(Hertz(ideal));
            TubePartial { partial, hz }
        })
        .collect()
}
