//! `list`: what is there.

use clap::ValueEnum;
use horn::bore::{
    Section, generic_leadpipe, generic_leadpipe_ids, generic_mouthpiece, generic_mouthpiece_ids,
};
use serde::Serialize;

use super::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey list instruments
  waterkey list exercises --json";

/// What to list.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    what: Kind,
}

#[derive(Clone, Copy, ValueEnum)]
enum Kind {
    /// The instruments of the catalogue.
    Instruments,
    /// Every pitch from C0 to C9 with its MIDI key and frequency at A4 = 440 Hz.
    Pitches,
    /// The mouthpieces to try, beside the one each instrument has.
    Mouthpieces,
    /// The leadpipes to try.
    Leadpipes,
    /// How each instrument is read: clef, and what a written note sounds.
    Readings,
    /// The exercises of the library.
    Exercises,
    /// The days' routines of the library.
    Routines,
    /// The levels that come with the program.
    Levels,
}

#[derive(Serialize)]
struct InstrumentRow {
    id: String,
    name: String,
    fundamental: String,
    lengths: usize,
    readings: Vec<String>,
}

/// Prints the list.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    match args.what {
        Kind::Instruments => instruments(output),
        Kind::Pitches => pitches(output),
        Kind::Mouthpieces => mouthpieces(output),
        Kind::Leadpipes => leadpipes(output),
        Kind::Readings => readings(output),
        Kind::Exercises => exercises(output),
        Kind::Routines => routines(output),
        Kind::Levels => levels(output),
    }
}

fn instruments(output: &Output) -> Result<(), Failure> {
    let rows: Vec<InstrumentRow> = horn::catalog()
        .iter()
        .map(|instrument| InstrumentRow {
            id: instrument.id.clone(),
            name: instrument.name.clone(),
            fundamental: instrument.fundamental.to_string(),
            lengths: instrument.lengths.len(),
            readings: instrument.readings.iter().map(|r| r.id.clone()).collect(),
        })
        .collect();
    output.show(&rows, |rows| {
        let lines = rows.iter().map(|row| {
            format!(
                "{:17} {:34} open tube {:4} {:2} lengths   {}",
                row.id,
                row.name,
                row.fundamental,
                row.lengths,
                row.readings.join(", ")
            )
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

fn pitches(output: &Output) -> Result<(), Failure> {
    let rows = tone::pitch_table(&tone::Tuning::default());
    output.show(&rows, |rows| {
        let lines = rows
            .iter()
            .filter(|row| row.pitch == tone::Pitch::from_midi(row.midi))
            .map(|row| {
                format!(
                    "{:4} {:4} {:10.3} Hz",
                    row.pitch.to_string(),
                    row.midi,
                    row.hz.0
                )
            });
        lines.collect::<Vec<_>>().join("\n")
    })
}

fn mouthpieces(output: &Output) -> Result<(), Failure> {
    let found = generic_mouthpiece_ids().map(generic_mouthpiece);
    let rows = found.collect::<Result<Vec<_>, _>>()?;
    output.show(&rows, |rows| {
        let lines = rows.iter().map(|row| {
            format!(
                "{:17} {:34} rim {:5.2} mm  cup {:5.2} cm3  throat {:4.2} mm",
                row.id, row.name, row.rim_mm, row.cup_cm3, row.throat_mm
            )
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

#[derive(Serialize)]
struct LeadpipeRow {
    id: &'static str,
    section: Section,
}

fn leadpipes(output: &Output) -> Result<(), Failure> {
    let found = generic_leadpipe_ids()
        .map(|id| generic_leadpipe(id).map(|section| LeadpipeRow { id, section }));
    let rows = found.collect::<Result<Vec<_>, _>>()?;
    output.show(&rows, |rows| {
        let lines = rows.iter().map(|row| {
            let (from, to) = row.section.diameters();
            format!(
                "{:17} {:5.2} to {:5.2} mm over {:.1} mm   {}",
                row.id, from, to, row.section.length_mm, row.section.source
            )
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

fn readings(output: &Output) -> Result<(), Failure> {
    let rows = horn::catalog::reading_table();
    output.show(&rows, |rows| {
        let lines = rows.iter().map(|row| {
            format!(
                "{:17} {:9} {:6} {:32} {}",
                row.instrument,
                row.reading,
                row.clef.to_string(),
                row.in_words,
                row.name
            )
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

#[derive(Serialize)]
struct ExerciseRow<'a> {
    id: &'a str,
    title: &'a str,
    family: String,
    purpose: &'a str,
}

fn exercises(output: &Output) -> Result<(), Failure> {
    let rows: Vec<ExerciseRow<'_>> = routine::library::exercises()
        .iter()
        .map(|exercise| ExerciseRow {
            id: &exercise.id,
            title: &exercise.title,
            family: exercise.family.name().to_owned(),
            purpose: &exercise.purpose,
        })
        .collect();
    output.show(&rows, |rows| {
        let mut text = String::new();
        let mut family = "";
        for row in rows {
            if row.family != family {
                family = &row.family;
                text += &format!("{family}\n");
            }
            text += &format!("  {:34} {}\n", row.id, row.purpose);
        }
        text
    })
}

fn routines(output: &Output) -> Result<(), Failure> {
    output.show(&routine::library::routines(), |days| {
        let rows = days
            .iter()
            .map(|day| format!("{:24} {}", day.id, day.purpose));
        rows.collect::<Vec<_>>().join("\n")
    })
}

fn levels(output: &Output) -> Result<(), Failure> {
    let levels = routine::Levels::standard();
    output.show(&levels, |levels| {
        let rows = levels.levels.iter().map(|level| {
            format!(
                "{:14} {:28} {:>4} to {:4} tempo {:3.0} % of the way up, {} minutes",
                level.id,
                level.name,
                level.floor.to_string(),
                level.roof.to_string(),
                level.tempo * 100.0,
                level.minutes
            )
        });
        rows.collect::<Vec<_>>().join("\n")
    })
}
