//! `compare`: two set-ups side by side, note by note.

use horn::compare;
use serde::Serialize;

use super::tube::set_up;
use super::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey compare trumpet-bflat cornet
  waterkey compare trumpet-bflat --temperature 15 --other-temperature 30";

/// Two set-ups.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Instrument id.
    instrument: String,
    /// The other instrument's id; the same one without.
    other: Option<String>,
    /// Mouthpiece of the first; its usual one without.
    #[arg(long, value_name = "ID")]
    mouthpiece: Option<String>,
    /// Mouthpiece of the other.
    #[arg(long, value_name = "ID")]
    other_mouthpiece: Option<String>,
    /// Air of the first, degrees Celsius.
    #[arg(long, value_name = "C")]
    temperature: Option<f64>,
    /// Air of the other.
    #[arg(long, value_name = "C")]
    other_temperature: Option<f64>,
}

#[derive(Serialize)]
struct Told {
    first: String,
    second: String,
    #[serde(flatten)]
    comparison: compare::Comparison,
}

/// Compares and tells.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let first = set_up(
        &args.instrument,
        args.mouthpiece.as_deref(),
        args.temperature,
    )?;
    let other = args.other.as_deref().unwrap_or(&args.instrument);
    let second = set_up(
        other,
        args.other_mouthpiece.as_deref(),
        args.other_temperature,
    )?;
    let told = Told {
        first: first.bore.name.clone(),
        second: second.bore.name.clone(),
        comparison: compare::compare(&first, &second)?,
    };
    output.show(&told, text)
}

fn text(told: &Told) -> String {
    let kilo =
        |pascal: Option<f64>| pascal.map_or_else(|| "-".into(), |p| format!("{:.2}", p / 1000.0));
    let mut text = format!(
        "second less first; first: {}, second: {}\n{:>7} {:>7} {:>9} {:>7} {:>13} {:>13}\n",
        told.first, told.second, "length", "partial", "Hz", "cents", "kPa", "slot c"
    );
    for note in &told.comparison.notes {
        let [from, to] = note.threshold;
        let [slot, slot_to] = note.slot_cents;
        text += &format!(
            "{:>7} {:>7} {:>9.2} {:>+7.1} {:>6}->{:<6} {:>5.0}->{:<5.0}\n",
            note.label,
            note.partial,
            note.frequency,
            note.cents.0,
            kilo(from),
            kilo(to),
            slot,
            slot_to
        );
    }
    let [first, second] = told.comparison.brightness;
    text += &format!(
        "cut-off {:.0} -> {:.0} Hz, brassiness {:.3} -> {:.3}\n",
        first.cutoff, second.cutoff, first.brassiness, second.brassiness
    );
    text
}
