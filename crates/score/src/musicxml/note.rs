//! One note or rest as a `note` element, with the dynamic mark that stands before it.

use routine::part::{Articulation, Dynamic};
use tone::Pitch;

use super::Options;
use super::xml::Xml;
use crate::Error;
use crate::barred::{Beam, Head, Symbol};

/// Writes a symbol.
pub(super) fn write(xml: &mut Xml, symbol: &Symbol<'_>, options: &Options) -> Result<(), Error> {
    let head = symbol.head.as_ref();
    if let Some(dynamic) = head.and_then(|h| h.dynamic) {
        dynamics(xml, dynamic)?;
    }
    match head {
        Some(head) => {
            xml.open("note", &[("id", &head.id())])?;
            pitch(xml, head.note.written.0)?;
        }
        None => {
            xml.open("note", &[])?;
            match symbol.value {
                None => xml.empty("rest", &[("measure", "yes")])?,
                Some(_) => xml.empty("rest", &[])?,
            }
        }
    }
    xml.number("duration", symbol.ticks)?;
    for kind in ties(head) {
        xml.empty("tie", &[("type", kind)])?;
    }
    xml.number("voice", 1)?;
    if let Some(value) = symbol.value {
        xml.leaf("type", &[], value.shape.name())?;
        for _ in 0..value.dots {
            xml.empty("dot", &[])?;
        }
        // The engraver joins a tie only where it sees the same sign; it is not drawn (see `system`).
        let carried = head.and_then(|h| h.carried).filter(|_| options.bare);
        let sign = head.and_then(|h| h.accidental).or(carried);
        if let Some(name) = sign.map(accidental) {
            xml.leaf("accidental", &[], name)?;
        }
        if let Some(ratio) = value.ratio {
            xml.open("time-modification", &[])?;
            xml.number("actual-notes", ratio.actual)?;
            xml.number("normal-notes", ratio.normal)?;
            xml.close("time-modification")?;
        }
    }
    for (index, beam) in symbol.beams.iter().enumerate() {
        let number = (index + 1).to_string();
        xml.leaf("beam", &[("number", &number)], beam_name(*beam))?;
    }
    notations(xml, symbol, options)?;
    xml.close("note")
}

fn pitch(xml: &mut Xml, pitch: Pitch) -> Result<(), Error> {
    xml.open("pitch", &[])?;
    xml.leaf("step", &[], &format!("{:?}", pitch.letter))?;
    if pitch.alter != 0 {
        xml.number("alter", pitch.alter)?;
    }
    xml.number("octave", pitch.octave)?;
    xml.close("pitch")
}

/// The ties of a piece: it ends one when it is not the first, begins one when not the last.
fn ties(head: Option<&Head<'_>>) -> impl Iterator<Item = &'static str> {
    let stop = head.is_some_and(|h| h.piece > 0).then_some("stop");
    let start = head.is_some_and(|h| !h.last).then_some("start");
    stop.into_iter().chain(start)
}

fn accidental(alter: i8) -> &'static str {
    match alter {
        i8::MIN..=-3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2 => "double-sharp",
        3..=i8::MAX => "triple-sharp",
    }
}

fn beam_name(beam: Beam) -> &'static str {
    match beam {
        Beam::Begin => "begin",
        Beam::Continue => "continue",
        Beam::End => "end",
        Beam::ForwardHook => "forward hook",
        Beam::BackwardHook => "backward hook",
    }
}

/// Name of the element that stands for a dynamic mark.
fn dynamic_name(dynamic: Dynamic) -> &'static str {
    match dynamic {
        Dynamic::Pp => "pp",
        Dynamic::P => "p",
        Dynamic::Mp => "mp",
        Dynamic::Mf => "mf",
        Dynamic::F => "f",
        Dynamic::Ff => "ff",
    }
}

fn dynamics(xml: &mut Xml, dynamic: Dynamic) -> Result<(), Error> {
    xml.open("direction", &[("placement", "below")])?;
    xml.open("direction-type", &[])?;
    xml.open("dynamics", &[])?;
    xml.empty(dynamic_name(dynamic), &[])?;
    xml.close("dynamics")?;
    xml.close("direction-type")?;
    // Percent of the default forte, which is MIDI velocity 90.
    let percent = f64::from(crate::midi::velocity(dynamic)) / 0.9;
    xml.empty("sound", &[("dynamics", &format!("{percent:.1}"))])?;
    xml.close("direction")
}

fn notations(xml: &mut Xml, symbol: &Symbol<'_>, options: &Options) -> Result<(), Error> {
    let head = symbol.head.as_ref();
    let first = head.filter(|h| h.piece == 0);
    let last = head.filter(|h| h.last);
    let fingering = first
        .map(|h| &h.note.fingering)
        .filter(|f| !options.bare && options.fingerings.shows(f));
    let articulation = first.and_then(|h| articulation(h.note.articulation));
    let breath = last.is_some_and(|h| h.breath);
    let slur_stop = last.is_some_and(|h| h.slur_stop);
    let slur_start = first.is_some_and(|h| h.slur_start);
    let tied = ties(head).next().is_some();
    if !(tied
        || slur_stop
        || slur_start
        || symbol.tuplet_start
        || symbol.tuplet_stop
        || fingering.is_some()
        || articulation.is_some()
        || breath)
    {
        return Ok(());
    }
    xml.open("notations", &[])?;
    for kind in ties(head) {
        xml.empty("tied", &[("type", kind)])?;
    }
    if slur_stop {
        xml.empty("slur", &[("type", "stop"), ("number", "1")])?;
    }
    if slur_start {
        xml.empty("slur", &[("type", "start"), ("number", "1")])?;
    }
    if symbol.tuplet_start {
        xml.empty("tuplet", &[("type", "start"), ("number", "1")])?;
    }
    if symbol.tuplet_stop {
        xml.empty("tuplet", &[("type", "stop"), ("number", "1")])?;
    }
    if let Some(fingering) = fingering {
        let alternate = if fingering.alternate { "yes" } else { "no" };
        xml.open("technical", &[])?;
        xml.leaf(
            "fingering",
            &[("alternate", alternate), ("placement", "above")],
            &fingering.label,
        )?;
        xml.close("technical")?;
    }
    if articulation.is_some() || breath {
        xml.open("articulations", &[])?;
        if let Some(name) = articulation {
            xml.empty(name, &[])?;
        }
        if breath {
            xml.leaf("breath-mark", &[], "comma")?;
        }
        xml.close("articulations")?;
    }
    xml.close("notations")
}

fn articulation(articulation: Articulation) -> Option<&'static str> {
    match articulation {
        Articulation::Plain => None,
        Articulation::Staccato => Some("staccato"),
        Articulation::Tenuto => Some("tenuto"),
        Articulation::Accent => Some("accent"),
    }
}
