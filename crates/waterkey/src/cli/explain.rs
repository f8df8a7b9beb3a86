//! `explain`: which length and partial a note sits on, and how far each fingering is out of tune.
//!
//! The ideal tube answers here, the bore in `bore_chart`.

use clap::ValueEnum;
use horn::{Chart, Fingering, Instrument, NoteKind, Reading};
use serde::Serialize;
use tone::{Pitch, Sounding};

use super::blown::Parts;
use super::{Failure, Output, bore_chart, pick};

const EXAMPLES: &str = "\
Examples:
  waterkey explain trumpet-bflat
  waterkey explain trumpet-bflat D4
  waterkey explain trumpet-bflat D4 --depth bore
  waterkey explain euphonium-4 Bb3 --reading treble --tuning just --root F --json
  waterkey explain trombone-tenor --depth bore --temperature 30";

/// How deep the tube is looked into.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Depth {
    /// Whole partials of the ideal tube, exact valve arithmetic.
    #[default]
    Ideal,
    /// The computed bore: resonances, blowing thresholds, slots, slide pulls.
    Bore,
}

/// Which instrument, which notes, in which tuning.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Instrument id or a TOML file of your own.
    instrument: String,
    /// A note such as D4, written as the player reads it; all of the usual compass without.
    note: Option<String>,
    /// Take the note as sounding (concert) pitch.
    #[arg(long)]
    concert: bool,
    /// How the player reads; the usual way without.
    #[arg(long)]
    reading: Option<String>,
    #[command(flatten)]
    tuning: pick::TuningArgs,
    /// How deep the tube is looked into.
    #[arg(long, value_enum, default_value_t)]
    depth: Depth,
    #[command(flatten)]
    parts: Parts,
}

/// One note of the chart with all ways to it.
#[derive(Serialize)]
struct NoteRow<'a> {
    written: String,
    sounding: String,
    midi: i32,
    hz: f64,
    ways: &'a [Fingering],
}

/// Prints the chart, or one note of it with the reasons.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    if args.depth == Depth::Bore {
        let asked = bore_chart::Asked {
            note: args.note.as_deref(),
            concert: args.concert,
            reading: args.reading.as_deref(),
            tuning: args.tuning.tuning()?,
            root: args.tuning.root_class()?,
        };
        return bore_chart::run(&args.parts.set_up(&args.instrument)?, &asked, output);
    }
    if !args.parts.is_generic() {
        return Err(Failure::Input(
            "the ideal tube has no parts to change; add --depth bore".into(),
        ));
    }
    let instrument = pick::instrument(&args.instrument)?;
    let reading = pick::reading(&instrument, args.reading.as_deref())?;
    let tuning = args.tuning.tuning()?;
    let chart = horn::ideal::chart(&instrument, &tuning);
    let row = |sounding: Sounding| NoteRow {
        written: reading.transposition.written(sounding).to_string(),
        sounding: sounding.to_string(),
        midi: sounding.midi(),
        hz: tuning.frequency(sounding).0,
        ways: chart.ways(sounding.midi()),
    };
    if let Some(text) = &args.note {
        let (written, sounding) = pick::note(text, args.concert, reading)?;
        if chart.ways(sounding.midi()).is_empty() {
            return Err(unreachable_note(
                &instrument,
                reading,
                &chart,
                &written.to_string(),
            ));
        }
        return output.show(&row(sounding), |row| one(&instrument, row));
    }
    let range = instrument.standard_range().or_else(|| chart.range());
    let rows: Vec<NoteRow<'_>> = range
        .into_iter()
        .flatten()
        .map(|midi| row(Sounding(Pitch::from_midi(midi))))
        .collect();
    output.show(&rows, |rows| table(&instrument, reading, rows))
}

/// No length gives the note: how far the instrument reaches.
pub(super) fn unreachable_note(
    instrument: &Instrument,
    reading: &Reading,
    chart: &Chart,
    written: &str,
) -> Failure {
    let name = |midi| {
        reading
            .transposition
            .written(Sounding(Pitch::from_midi(midi)))
            .to_string()
    };
    let range = chart.range().map_or_else(String::new, |range| {
        format!(
            ": it reaches {} to {} as written",
            name(*range.start()),
            name(*range.end())
        )
    });
    Failure::Input(format!(
        "no length of the {} gives written {written}{range}",
        instrument.name
    ))
}

fn one(instrument: &Instrument, row: &NoteRow<'_>) -> String {
    let mut text = format!(
        "{}: written {} sounds {} ({:.2} Hz)\n",
        instrument.name, row.written, row.sounding, row.hz
    );
    for way in row.ways {
        text += &format!(
            "  {:>6}  {:14} {:>6} c  {}\n",
            way.label,
            carried(way),
            cents(way),
            way.reason
        );
    }
    text
}

/// How the tube carries the note, in a word or two.
pub(super) fn carried(way: &Fingering) -> String {
    match way.kind {
        NoteKind::Partial => format!("partial {}", way.partial),
        NoteKind::Pedal => "pedal".into(),
        NoteKind::False => "false note".into(),
    }
}

/// Signed cents to a tenth, a plain zero without sign.
pub(super) fn cents(way: &Fingering) -> String {
    let tenths = (way.cents.0 * 10.0).round() / 10.0;
    if tenths == 0.0 {
        "0.0".into()
    } else {
        format!("{tenths:+.1}")
    }
}

fn table(instrument: &Instrument, reading: &Reading, rows: &[NoteRow<'_>]) -> String {
    let mut text = format!(
        "{} ({}): cents from the tuning, first choice first\n{:>7} {:>8}  ways\n",
        instrument.name, reading.name, "written", "sounding"
    );
    for row in rows {
        let ways: Vec<String> = row
            .ways
            .iter()
            .map(|way| format!("{} {}", way.label, cents(way)))
            .collect();
        text += &format!(
            "{:>7} {:>8}  {}\n",
            row.written,
            row.sounding,
            ways.join("   ")
        );
    }
    text
}
