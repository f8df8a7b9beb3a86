//! `fit`: the tubing fitted to notes that a player measured.

use std::collections::BTreeMap;
use std::path::PathBuf;

use horn::calibrate::{Calibration, Measured, calibrate};
use horn::{Instrument, Reading, Setup};
use serde::Serialize;

use super::blown::{Fitted, Parts};
use super::{Failure, Output, pick, write};

const EXAMPLES: &str = "\
The file has one note a line: the note as the player reads it, the fingering or slide
position, and how many cents it sounded sharp (+) or flat (-) of equal temperament.
A # begins a remark.

  # long tones, warm, main slide where I usually have it
  C4   0      -3
  E4   1-2    +9
  G4   0      +1
  D4   1-3   +22
  C#4  1-2-3 +31

Examples:
  waterkey fit trumpet-bflat long-tones.txt
  waterkey fit trumpet-bflat long-tones.txt --save my-trumpet.toml
  waterkey explain trumpet-bflat D4 --depth bore --fitted my-trumpet.toml

A slide that comes out at +4 mm stands, or is built, 4 mm further out than on the
generic instrument. What the player does alike on every note goes into the main slide.
More notes on more fingerings narrow it down.";

/// Which instrument, which notes.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Instrument id or a TOML file of your own.
    instrument: String,
    /// File of measured notes: note, fingering, cents, one note a line.
    notes: PathBuf,
    /// Take the notes as sounding (concert) pitch.
    #[arg(long)]
    concert: bool,
    /// How the player reads; the usual way without.
    #[arg(long)]
    reading: Option<String>,
    /// Write the fitted horn to a file that --fitted reads.
    #[arg(long, value_name = "FILE")]
    save: Option<PathBuf>,
    #[command(flatten)]
    tuning: pick::TuningArgs,
    #[command(flatten)]
    parts: Parts,
}

#[derive(Serialize)]
struct Told {
    instrument: String,
    temperature_c: f64,
    #[serde(flatten)]
    calibration: Calibration,
    notes: Vec<Row>,
}

/// A measured note and what the fitted horn leaves of it.
#[derive(Serialize)]
struct Row {
    note: String,
    length: String,
    cents: f64,
    left_cents: f64,
}

/// Reads the notes, fits and tells.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let setup = args.parts.set_up(&args.instrument)?;
    let reading = pick::reading(&setup.instrument, args.reading.as_deref())?;
    let text = pick::read_text(&args.notes)?;
    let name = args.notes.display().to_string();
    let notes = measured(&name, &text, &setup.instrument, reading, args.concert)?;
    let tuning = args.tuning.tuning()?;
    let list: Vec<Measured> = notes.iter().map(|note| note.1.clone()).collect();
    let calibration = calibrate(&setup, &tuning, &list)
        .map_err(|error| Failure::Input(format!("{name}: {error}")))?;
    if let Some(path) = &args.save {
        let text = file(&setup, &calibration, &name)?;
        write::save(path, text.as_bytes())?;
    }
    let rows = notes.into_iter().zip(&calibration.left_cents);
    let told = Told {
        instrument: setup.bore.name.clone(),
        temperature_c: setup.air.temperature,
        notes: rows
            .map(|((note, measured), left)| Row {
                note,
                length: measured.length,
                cents: measured.cents,
                left_cents: *left,
            })
            .collect(),
        calibration,
    };
    output.show(&told, told_text)
}

/// The notes of a file: as typed, and as the fit takes them.
///
/// # Errors
/// Every line that is not a note, a fingering and a number, with its number and what is wrong.
fn measured(
    name: &str,
    text: &str,
    instrument: &Instrument,
    reading: &Reading,
    concert: bool,
) -> Result<Vec<(String, Measured)>, Failure> {
    let (mut notes, mut wrong) = (Vec::new(), Vec::new());
    for (i, line) in text.lines().enumerate() {
        // A sharp is written # too; only one at the start of a word begins a remark.
        let words = line
            .split([' ', '\t', ',', ';'])
            .filter(|word| !word.is_empty());
        let words: Vec<&str> = words.take_while(|word| !word.starts_with('#')).collect();
        if words.is_empty() {
            continue;
        }
        match one(&words, instrument, reading, concert) {
            Ok(note) => notes.push(note),
            Err(what) => wrong.push(format!("{name}:{}: {what}", i + 1)),
        }
    }
    if !wrong.is_empty() {
        return Err(Failure::Input(wrong.join("\n")));
    }
    if notes.is_empty() {
        return Err(Failure::Input(format!(
            "{name} holds no note; write one a line, such as `C4 0 -3`"
        )));
    }
    Ok(notes)
}

fn one(
    words: &[&str],
    instrument: &Instrument,
    reading: &Reading,
    concert: bool,
) -> Result<(String, Measured), String> {
    let &[note, length, cents] = words else {
        return Err(format!(
            "`{}` is {} words; write the note, the fingering and the cents, such as `C4 0 -3`",
            words.join(" "),
            words.len()
        ));
    };
    let said = |failure: Failure| match failure {
        Failure::Input(text) => text,
        Failure::Work(error) => error.to_string(),
    };
    let (_, sounding) = pick::note(note, concert, reading).map_err(said)?;
    if instrument.length_named(length).is_none() {
        let known: Vec<&str> = instrument
            .lengths
            .iter()
            .map(|l| l.label.as_str())
            .collect();
        return Err(format!(
            "`{length}` is no fingering or position of {}; there are: {}",
            instrument.name,
            known.join(" ")
        ));
    }
    let cents: f64 = cents
        .trim_start_matches('+')
        .parse()
        .map_err(|_| format!("`{cents}` is not a number of cents"))?;
    let measured = Measured {
        length: length.to_owned(),
        midi: sounding.midi(),
        cents,
    };
    Ok((note.to_owned(), measured))
}

/// The text of the file that --fitted reads; what the parts already held is kept.
fn file(setup: &Setup, calibration: &Calibration, notes: &str) -> Result<String, Failure> {
    let mut mine = setup.clone();
    calibration.apply(&mut mine);
    let trim: BTreeMap<String, f64> = mine
        .trim
        .into_iter()
        .map(|(name, mm)| (name, (mm * 100.0).round() / 100.0))
        .collect();
    let fitted = Fitted {
        instrument: setup.instrument.id.clone(),
        trim,
    };
    Ok(format!(
        "# fitted to {notes}: mm of slide movement against the generic bore, out is positive\n{}",
        toml::to_string(&fitted)?
    ))
}

fn told_text(told: &Told) -> String {
    let calibration = &told.calibration;
    let mut text = format!(
        "{} fitted to {} notes, air at {:.1} C\n\n{:18} {:>8} {:>10}\n",
        told.instrument,
        told.notes.len(),
        told.temperature_c,
        "slide",
        "mm out",
        "+/- mm"
    );
    for trim in &calibration.trims {
        let clear = if trim.mm.abs() < 2.0 * trim.uncertainty_mm {
            "   within what the notes can tell"
        } else {
            ""
        };
        text += &format!(
            "{:18} {:>+8.1} {:>10.1}{clear}\n",
            trim.name, trim.mm, trim.uncertainty_mm
        );
    }
    text += &format!(
        "\n{:>6} {:>8} {:>8} {:>12}\n",
        "note", "length", "cents", "left over"
    );
    for row in &told.notes {
        text += &format!(
            "{:>6} {:>8} {:>+8.1} {:>+12.1}\n",
            row.note, row.length, row.cents, row.left_cents
        );
    }
    text += &format!(
        "\nmeasured less computed: {:.1} cents rms before, {:.1} after; +/- is one standard deviation\n",
        calibration.before_cents, calibration.after_cents
    );
    text
}
