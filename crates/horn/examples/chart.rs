//! Prints the ideal-tube chart of an instrument: `cargo run -p horn --example chart -- cornet`.

use std::io::{self, Write};

use tone::{Pitch, Sounding, Tuning};

fn main() -> io::Result<()> {
    let mut out = io::stdout().lock();
    let id = std::env::args().nth(1).unwrap_or_default();
    let Some(instrument) = horn::catalog::find(&id) else {
        for instrument in horn::catalog() {
            writeln!(out, "{:18} {}", instrument.id, instrument.name)?;
        }
        return Ok(());
    };
    for length in &instrument.lengths {
        writeln!(
            out,
            "{:8} {:3} semitones, length {:.4}, {:+6.1} cents",
            length.label,
            length.semitones,
            length.ratio,
            100.0 * f64::from(length.semitones) - 1200.0 * length.ratio.log2(),
        )?;
    }
    let reading = instrument.usual_reading().map(|r| r.transposition);
    for (key, ways) in horn::ideal::chart(instrument, &Tuning::default()).notes {
        let sounding = Sounding(Pitch::from_midi(key));
        let written = reading.unwrap_or_default().written(sounding);
        let usual = instrument
            .standard_range()
            .is_some_and(|r| r.contains(&key));
        let mark = if usual { ' ' } else { '(' };
        write!(
            out,
            "{mark}{:4} {:4}",
            written.to_string(),
            sounding.to_string()
        )?;
        for way in ways.iter().take(6) {
            write!(out, "  {}:{} {:+.0}", way.label, way.partial, way.cents.0)?;
        }
        writeln!(out)?;
    }
    Ok(())
}
