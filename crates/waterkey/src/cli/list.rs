//! `list`: what is there.

use clap::ValueEnum;
use serde::Serialize;

use super::{Failure, Output};

/// What to list.
#[derive(clap::Args)]
pub(crate) struct Args {
    what: Kind,
}

#[derive(Clone, Copy, ValueEnum)]
enum Kind {
    /// The instruments of the catalogue.
    Instruments,
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
