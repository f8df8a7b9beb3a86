//! Bars to measures: attributes, directions, notes and barlines.

use routine::part::{Part, TICKS_PER_QUARTER};
use tone::{Clef, Transposition};

use super::xml::Xml;
use super::{Options, header, note};
use crate::Error;
use crate::barred::{Bar, Barline, Barred, BarredLine};

/// The public identifier that older readers look for.
const DOCTYPE: &str = "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
     \"http://www.musicxml.org/dtds/partwise.dtd\">\n";

/// The whole document.
pub(super) fn document(barred: &Barred<'_>, options: &Options) -> Result<String, Error> {
    let mut xml = Xml::new(DOCTYPE);
    xml.open("score-partwise", &[("version", "4.0")])?;
    header::write(&mut xml, barred.part, options)?;
    xml.open("part", &[("id", "P1")])?;
    let mut before: Option<&BarredLine<'_>> = None;
    for line in &barred.lines {
        for (index, bar) in line.bars.iter().enumerate() {
            let place = Place {
                part: barred.part,
                line,
                before,
                first: index == 0,
                after_pause: index > 0 && bar.pause,
            };
            measure(&mut xml, &place, bar, options)?;
        }
        before = Some(line);
    }
    xml.close("part")?;
    xml.close("score-partwise")?;
    xml.finish()
}

/// One line as a document of its own, with the notes and signs that the engraver draws and
/// nothing else: clef and key at its start, the time signature where it is new in the part. What
/// comes after the line casts no sign of courtesy back over its end.
#[cfg(feature = "engrave")]
pub(super) fn line(barred: &Barred<'_>, index: usize) -> Result<String, Error> {
    let options = Options {
        bare: true,
        ..Options::default()
    };
    let mut xml = Xml::new(DOCTYPE);
    xml.open("score-partwise", &[("version", "4.0")])?;
    header::write(&mut xml, barred.part, &options)?;
    xml.open("part", &[("id", "P1")])?;
    if let Some(line) = barred.lines.get(index) {
        let before = index.checked_sub(1).and_then(|i| barred.lines.get(i));
        for (index, bar) in line.bars.iter().enumerate() {
            let place = Place {
                part: barred.part,
                line,
                before,
                first: index == 0,
                after_pause: index > 0 && bar.pause,
            };
            measure(&mut xml, &place, bar, &options)?;
        }
    }
    xml.close("part")?;
    xml.close("score-partwise")?;
    xml.finish()
}

/// Where a bar stands.
struct Place<'a> {
    part: &'a Part,
    line: &'a BarredLine<'a>,
    before: Option<&'a BarredLine<'a>>,
    /// First bar of its line.
    first: bool,
    /// A bar of rest that does not open the line.
    after_pause: bool,
}

fn measure(
    xml: &mut Xml,
    place: &Place<'_>,
    bar: &Bar<'_>,
    options: &Options,
) -> Result<(), Error> {
    let number = bar.number.to_string();
    let id = format!("bar{number}");
    let mut attributes_of = vec![("number", number.as_str()), ("id", id.as_str())];
    if place.line.meter.is_none() {
        attributes_of.push(("implicit", "yes"));
    }
    xml.open("measure", &attributes_of)?;
    if place.first && place.before.is_some() && !options.bare {
        xml.empty("print", &[("new-system", "yes")])?;
    }
    attributes(xml, place, bar, options)?;
    if place.first && !options.bare {
        directions(xml, place)?;
    }
    if bar.pause && place.line.meter.is_none() && !options.bare {
        pause_words(xml, place, bar)?;
    }
    for symbol in &bar.symbols {
        note::write(xml, symbol, options)?;
    }
    barline(xml, bar.end)?;
    xml.close("measure")
}

/// Clef, key, time and transposition at the start; later only what changes.
fn attributes(
    xml: &mut Xml,
    place: &Place<'_>,
    bar: &Bar<'_>,
    options: &Options,
) -> Result<(), Error> {
    let opening = place.first && (options.bare || place.before.is_none());
    let new_key = opening
        || place.first
            && place
                .before
                .is_none_or(|b| b.line.key != place.line.line.key);
    let same_meter = place.before.is_some_and(|b| b.meter == place.line.meter);
    let new_meter = opening || place.first && !same_meter;
    let rest_sign = bar.rest_bars > 1 && place.line.meter.is_some();
    if !(new_meter || new_key || rest_sign) {
        return Ok(());
    }
    xml.open("attributes", &[])?;
    if opening {
        xml.number("divisions", TICKS_PER_QUARTER)?;
    }
    if new_key {
        xml.open("key", &[])?;
        xml.number("fifths", place.line.line.key.0)?;
        xml.close("key")?;
    }
    if new_meter {
        match place.line.meter {
            Some((beats, unit)) => {
                // A line by itself needs its bars counted, but the sign only where it is new.
                let unseen: &[_] = if same_meter {
                    &[("print-object", "no")]
                } else {
                    &[]
                };
                xml.open("time", unseen)?;
                xml.number("beats", beats)?;
                xml.number("beat-type", unit)?;
                xml.close("time")?;
            }
            None => {
                xml.open("time", &[("print-object", "no")])?;
                xml.leaf("senza-misura", &[], "")?;
                xml.close("time")?;
            }
        }
    }
    if opening {
        clef(xml, place.part.clef)?;
        transpose(xml, place.part.transposition)?;
    }
    if rest_sign {
        xml.open("measure-style", &[])?;
        xml.number("multiple-rest", bar.rest_bars)?;
        xml.close("measure-style")?;
    }
    xml.close("attributes")
}

fn clef(xml: &mut Xml, clef: Clef) -> Result<(), Error> {
    let (sign, line) = match clef {
        Clef::Treble => ("G", 2),
        Clef::Bass => ("F", 4),
        Clef::Tenor => ("C", 4),
        Clef::Alto => ("C", 3),
    };
    xml.open("clef", &[])?;
    xml.leaf("sign", &[], sign)?;
    xml.number("line", line)?;
    xml.close("clef")
}

fn transpose(xml: &mut Xml, transposition: Transposition) -> Result<(), Error> {
    let interval = transposition.0;
    if interval.steps == 0 && interval.semitones == 0 {
        return Ok(());
    }
    // Whole octaves go apart; the rest keeps the direction of the interval.
    let octaves = interval.steps / 7;
    xml.open("transpose", &[])?;
    xml.number("diatonic", interval.steps - 7 * octaves)?;
    xml.number("chromatic", interval.semitones - 12 * octaves)?;
    if octaves != 0 {
        xml.number("octave-change", octaves)?;
    }
    xml.close("transpose")
}

/// The name of the exercise, the label and the tempo of a line, where they change.
fn directions(xml: &mut Xml, place: &Place<'_>) -> Result<(), Error> {
    let line = place.line.line;
    let before = place.before.map(|b| b.line);
    if before.is_none_or(|b| b.exercise != line.exercise) && !line.exercise.is_empty() {
        words(xml, &line.exercise, &[("font-weight", "bold")])?;
    }
    if !line.label.is_empty() {
        words(xml, &line.label, &[("font-style", "italic")])?;
    }
    let new_tempo = before.is_none_or(|b| b.tempo.to_bits() != line.tempo.to_bits());
    if new_tempo && line.tempo.is_finite() && line.tempo > 0.0 {
        let tempo = rounded(line.tempo);
        xml.open("direction", &[("placement", "above")])?;
        xml.open("direction-type", &[])?;
        xml.open("metronome", &[])?;
        xml.leaf("beat-unit", &[], "quarter")?;
        xml.leaf("per-minute", &[], &tempo)?;
        xml.close("metronome")?;
        xml.close("direction-type")?;
        xml.empty("sound", &[("tempo", &tempo)])?;
        xml.close("direction")?;
    }
    Ok(())
}

fn words(xml: &mut Xml, text: &str, style: &[(&str, &str)]) -> Result<(), Error> {
    xml.open("direction", &[("placement", "above")])?;
    xml.open("direction-type", &[])?;
    xml.leaf("words", style, text)?;
    xml.close("direction-type")?;
    xml.close("direction")
}

/// Without bars to count, the rest after a line is told in seconds.
fn pause_words(xml: &mut Xml, place: &Place<'_>, bar: &Bar<'_>) -> Result<(), Error> {
    let seconds = routine::part::Ticks(bar.length).seconds(place.line.line.tempo);
    if place.after_pause && seconds.is_finite() {
        words(xml, &format!("rest {seconds:.0} s"), &[])?;
    }
    Ok(())
}

fn barline(xml: &mut Xml, end: Barline) -> Result<(), Error> {
    let style = match end {
        Barline::Single => return Ok(()),
        Barline::Unseen => "none",
        Barline::Double => "light-light",
        Barline::Final => "light-heavy",
    };
    xml.open("barline", &[("location", "right")])?;
    xml.leaf("bar-style", &[], style)?;
    xml.close("barline")
}

/// A number with at most two decimals and none that are zero.
fn rounded(number: f64) -> String {
    ((number * 100.0).round() / 100.0).to_string()
}
