//! The head of the document: titles, identification, credits and the part list.

use routine::part::Part;

use super::Options;
use super::xml::Xml;
use crate::Error;

/// Writes everything before the part itself.
pub(super) fn write(xml: &mut Xml, part: &Part, options: &Options) -> Result<(), Error> {
    if !options.bare {
        xml.open("work", &[])?;
        xml.leaf("work-title", &[], &part.title)?;
        xml.close("work")?;
        identification(xml, part, options)?;
        credits(xml, part)?;
    }
    part_list(xml, part, options)
}

fn identification(xml: &mut Xml, part: &Part, options: &Options) -> Result<(), Error> {
    xml.open("identification", &[])?;
    xml.open("encoding", &[])?;
    xml.leaf(
        "software",
        &[],
        concat!("waterkey ", env!("CARGO_PKG_VERSION")),
    )?;
    if is_date(&options.date) {
        xml.leaf("encoding-date", &[], &options.date)?;
    }
    for element in ["accidental", "beam"] {
        xml.empty("supports", &[("element", element), ("type", "yes")])?;
    }
    xml.empty(
        "supports",
        &[
            ("element", "print"),
            ("attribute", "new-system"),
            ("type", "yes"),
            ("value", "yes"),
        ],
    )?;
    xml.close("encoding")?;
    let cautions = part.cautions.join(" ");
    let fields = [
        ("purpose", part.purpose.as_str()),
        ("words", part.words.as_str()),
        ("player", part.player.as_str()),
        ("cautions", cautions.as_str()),
    ];
    if fields.iter().any(|(_, text)| !text.is_empty()) {
        xml.open("miscellaneous", &[])?;
        for (name, text) in fields.iter().filter(|(_, text)| !text.is_empty()) {
            xml.leaf("miscellaneous-field", &[("name", name)], text)?;
        }
        xml.close("miscellaneous")?;
    }
    xml.close("identification")
}

/// `YYYY-MM-DD`, as `xs:date` wants it.
fn is_date(text: &str) -> bool {
    text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        })
}

fn credits(xml: &mut Xml, part: &Part) -> Result<(), Error> {
    // MusicXML has no credit type for the person who plays; that credit goes without one.
    for (kind, justify, text) in [
        (Some("title"), "center", &part.title),
        (Some("subtitle"), "center", &part.purpose),
        (Some("part name"), "left", &part.instrument_name),
        (None, "right", &part.player),
    ] {
        if text.is_empty() {
            continue;
        }
        xml.open("credit", &[("page", "1")])?;
        if let Some(kind) = kind {
            xml.leaf("credit-type", &[], kind)?;
        }
        xml.leaf("credit-words", &[("justify", justify)], text)?;
        xml.close("credit")?;
    }
    Ok(())
}

fn part_list(xml: &mut Xml, part: &Part, options: &Options) -> Result<(), Error> {
    xml.open("part-list", &[])?;
    xml.open("score-part", &[("id", "P1")])?;
    // The engraver would print a name at the left of every system.
    let name = if_empty(&part.instrument_name, "Brass");
    xml.leaf("part-name", &[], if options.bare { "" } else { name })?;
    xml.open("score-instrument", &[("id", "P1-I1")])?;
    xml.leaf("instrument-name", &[], name)?;
    xml.close("score-instrument")?;
    xml.open("midi-instrument", &[("id", "P1-I1")])?;
    xml.number("midi-channel", 1)?;
    xml.number("midi-program", crate::midi::program(&part.instrument) + 1)?;
    xml.close("midi-instrument")?;
    xml.close("score-part")?;
    xml.close("part-list")
}

fn if_empty<'a>(text: &'a str, other: &'a str) -> &'a str {
    if text.trim().is_empty() { other } else { text }
}
