//! Tells the notes of a sound file, freely or against a table of notes, or its whole report as JSON:
//! `cargo run --release -p ear --example listen -- FILE [TABLE.tsv] [--json]`.
#![allow(clippy::print_stdout, missing_docs)]

use ear::input::{Options, from_bytes};
use ear::report::{Asked, Whole, whole_of_input};
use ear::{Expected, ExpectedLine, ExpectedNote};

/// A line of notes from the columns `onset_s`, `offset_s` and `midi` (or `sounding_midi`).
fn expected(text: &str) -> Expected {
    let mut rows = text.lines().map(|l| l.split('\t').collect::<Vec<_>>());
    let names = rows.next().unwrap_or_default();
    let number = |row: &[&str], name: &str| {
        let i = names.iter().position(|n| *n == name)?;
        row.get(i)?.trim().parse::<f64>().ok()
    };
    let notes = rows.enumerate().filter_map(|(i, row)| {
        let midi = number(&row, "sounding_midi").or_else(|| number(&row, "midi"))?;
        let onset = number(&row, "onset_s")?;
        Some(ExpectedNote {
            id: format!("l1n{}", i + 1),
            midi: midi.round() as i32,
            hz: 440.0 * ((midi.round() - 69.0) / 12.0).exp2(),
            start_s: onset,
            seconds: number(&row, "offset_s").map_or(0.3, |off| off - onset),
            ..ExpectedNote::default()
        })
    });
    let line = ExpectedLine {
        id: "l1".into(),
        notes: notes.collect(),
        ..ExpectedLine::default()
    };
    Expected { lines: vec![line] }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (options, names): (Vec<String>, Vec<String>) =
        std::env::args().skip(1).partition(|a| a.starts_with("--"));
    let file = names.first().ok_or("which file?")?;
    let input = from_bytes(&std::fs::read(file)?, &Options::default())?;
    let asked = match names.get(1) {
        Some(table) => Some(expected(&std::fs::read_to_string(table)?)),
        None => None,
    };
    let Whole { heard, report } = whole_of_input(
        &input,
        &Asked {
            expected: asked.as_ref(),
            ..Asked::default()
        },
    );
    if options.iter().any(|o| o == "--json") {
        println!("{}", serde_json::to_string(&report)?);
        return Ok(());
    }
    println!("# {:?}: {}", report.verdict.kind, report.verdict.words);
    for ground in &report.verdict.grounds {
        println!("#   {}: {:.2} {}", ground.what, ground.value, ground.unit);
    }
    println!(
        "# reverberation {:?}, noise {:.1} dB",
        heard.reverb_s, heard.noise_db
    );
    println!("onset_s\toffset_s\tmidi\tsd_cents\tlevel_db\tsure\tplace\tmatched\tslurred");
    for note in &heard.notes {
        println!(
            "{:.3}\t{:.3}\t{:.3}\t{:.2}\t{:.1}\t{:.2}\t{}\t{:?}\t{}",
            note.onset_s,
            note.offset_s,
            69.0 + 12.0 * (note.hz / 440.0).log2(),
            note.cents_uncertainty,
            note.level_db,
            note.confidence,
            note.place
                .map_or("-".into(), |p| format!("{}.{}", p.note + 1, p.pass)),
            note.matched,
            note.slurred
        );
    }
    for slur in &heard.slurs {
        println!(
            "slur {}-{}: {:.3}-{:.3} {:?} caught {:?}",
            slur.from, slur.to, slur.left_s, slur.entered_s, slur.slur_ms, slur.caught
        );
    }
    Ok(())
}
