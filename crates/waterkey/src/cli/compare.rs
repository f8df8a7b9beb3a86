//! `compare`: two set-ups side by side, note by note.

use std::path::PathBuf;

use horn::{Setup, compare};
use serde::Serialize;

use super::blown::{Parts, pull};
use super::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey compare trumpet-bflat cornet
  waterkey compare trumpet-bflat --other-mouthpiece trumpet-shallow
  waterkey compare trumpet-bflat --other-leadpipe trumpet-wide
  waterkey compare trumpet-bflat --temperature 15 --other-temperature 30
  waterkey compare trumpet-bflat --other-fitted my-trumpet.toml

Brassiness says how much a loud note is sharpened on its way through the tube: the
narrower and longer the tube stays near its bore, the brassier it gets (Myers et al. 2012).";

/// Two set-ups.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Instrument id or a TOML file of your own.
    instrument: String,
    /// The other instrument; the same one without.
    other: Option<String>,
    #[command(flatten)]
    parts: Parts,
    #[command(flatten)]
    changed: Changed,
}

/// What the other has that the first has not; the first's parts where nothing is given, unless it is another
/// instrument.
#[derive(clap::Args)]
struct Changed {
    /// Bore file of the other.
    #[arg(long, value_name = "FILE")]
    other_bore: Option<PathBuf>,
    /// Mouthpiece of the other.
    #[arg(long, value_name = "ID|FILE")]
    other_mouthpiece: Option<String>,
    /// Leadpipe of the other.
    #[arg(long, value_name = "ID|FILE")]
    other_leadpipe: Option<String>,
    /// Air of the other.
    #[arg(long, value_name = "C")]
    other_temperature: Option<f64>,
    /// Slide of the other pulled out; may be given again.
    #[arg(long, value_name = "SLIDE=MM", value_parser = pull)]
    other_pull: Vec<(String, f64)>,
    /// The other is your own horn, as `fit --save` wrote it.
    #[arg(long, value_name = "FILE")]
    other_fitted: Option<PathBuf>,
}

impl Args {
    /// The parts of the other: what was said of it, else what the first has.
    fn other_parts(&self) -> Parts {
        let first = match &self.other {
            Some(_) => Parts {
                temperature: self.parts.temperature,
                ..Parts::default()
            },
            None => self.parts.clone(),
        };
        let changed = &self.changed;
        Parts {
            bore: changed.other_bore.clone().or(first.bore),
            mouthpiece: changed.other_mouthpiece.clone().or(first.mouthpiece),
            leadpipe: changed.other_leadpipe.clone().or(first.leadpipe),
            temperature: changed.other_temperature.or(first.temperature),
            pull: first
                .pull
                .iter()
                .chain(&changed.other_pull)
                .cloned()
                .collect(),
            fitted: changed.other_fitted.clone().or(first.fitted),
        }
    }
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
    let first = args.parts.set_up(&args.instrument)?;
    let other = args.other.as_deref().unwrap_or(&args.instrument);
    let second = args.other_parts().set_up(other)?;
    let told = Told {
        first: named(&first),
        second: named(&second),
        comparison: compare::compare(&first, &second)?,
    };
    output.show(&told, text)
}

/// What a set-up is, in a line.
fn named(setup: &Setup) -> String {
    let leadpipe = setup.bore.sections.first().map_or(0.0, |s| s.diameters().0);
    format!(
        "{}, mouthpiece {}, leadpipe from {leadpipe:.2} mm, air {:.1} C",
        setup.bore.name,
        setup.mouthpiece().name,
        setup.air.temperature
    )
}

fn text(told: &Told) -> String {
    let kilo =
        |pascal: Option<f64>| pascal.map_or_else(|| "-".into(), |p| format!("{:.2}", p / 1000.0));
    let mut text = format!(
        "first:  {}\nsecond: {}\n\n{:>7} {:>7} {:>9} {:>7} {:>14} {:>12}\n",
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
        "\ncents: second less first. cut-off {:.0} -> {:.0} Hz\nbrassiness {:.3} -> {:.3} \
         (counted from the leadpipe's entry {:.3} -> {:.3})\n",
        first.cutoff,
        second.cutoff,
        first.brassiness,
        second.brassiness,
        first.brassiness_at_entry,
        second.brassiness_at_entry
    );
    text
}
