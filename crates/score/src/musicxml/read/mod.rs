//! A single part of any exporter, read as lines to be heard against.

mod lines;
mod measure;
mod open;
mod order;

use routine::part::{Articulation, Dynamic, Fingered, Part, Ticks, Totals};
use tone::{Clef, KeySignature, Sounding, Transposition, Written};

use crate::Error;

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// Title of the work or movement; empty when the file has none.
    pub title: String,
    /// Name of the part.
    pub name: String,
    /// The clef it begins in.
    pub clef: Clef,
    /// From written to sounding.
    pub transposition: Transposition,
    /// The time signature it begins in; `None` when it has none.
    pub meter: Option<(u8, u8)>,
    /// The lines: the part is cut at double barlines, repeats, rehearsal marks and at changes of
    /// key or tempo.
    pub lines: Vec<ImportedLine>,
    /// What the file holds that a single line cannot, in plain words.
    pub remarks: Vec<String>,
}

/// One line of an imported part.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportedLine {
    /// For people: the rehearsal mark or `bar 9`.
    pub label: String,
    /// Key signature as written.
    pub key: KeySignature,
    /// Quarter notes a minute.
    pub tempo: f64,
    /// Notes, rests and breaths in order, without the rest at the end.
    pub events: Vec<ImportedEvent>,
    /// The rest at the end.
    pub rest_after: Ticks,
}

/// One thing in an imported line.
#[derive(Clone, Debug, PartialEq)]
pub enum ImportedEvent {
    /// A note.
    Note(ImportedNote),
    /// A rest.
    Rest(Ticks),
    /// A breath mark.
    Breath,
}

/// A note as the file has it; tied notes are one.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportedNote {
    /// What stands in the part.
    pub written: Written,
    /// What is heard.
    pub sounding: Sounding,
    /// How long.
    pub duration: Ticks,
    /// True when it is slurred from the note before.
    pub slurred: bool,
    /// How it is played.
    pub articulation: Articulation,
    /// A dynamic mark that begins here.
    pub dynamic: Option<Dynamic>,
    /// The fingering or position in the file; empty for none.
    pub fingering: String,
}

/// Reads MusicXML, plain (UTF-8 or UTF-16) or compressed, partwise.
///
/// `part` chooses among several parts by id or name; a file with one part needs none. Repeats
/// and endings are played out. Chords keep their top note, the first voice is read, grace notes
/// are left out; each such loss is told in [`Imported::remarks`].
///
/// # Errors
///
/// [`Error::NotMusicXml`] with what was found and where, [`Error::Zip`] for a broken archive,
/// [`Error::Empty`] when the part has no notes.
pub fn read(bytes: &[u8], part: Option<&str>) -> Result<Imported, Error> {
    let text = open::text(bytes)?;
    lines::read(&parse(&text)?, part)
}

/// The text of the document, as it is written in UTF-8.
pub(super) fn document(bytes: &[u8]) -> Result<String, Error> {
    let text = open::text(bytes)?;
    parse(&text)?;
    Ok(open::declared_utf8(text))
}

fn parse(text: &str) -> Result<roxmltree::Document<'_>, Error> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    Ok(roxmltree::Document::parse_with_options(text, options)?)
}

impl Imported {
    /// The part for a player: `finger` gives the fingering of each note, usually from the chart.
    ///
    /// Ids are `l1n1` and so on, as in every part.
    #[must_use]
    pub fn into_part(
        self,
        instrument: &str,
        instrument_name: &str,
        finger: impl FnMut(&ImportedNote) -> Fingered,
    ) -> Part {
        let lines = lines::with_fingerings(&self, finger);
        Part {
            title: if self.title.is_empty() {
                self.name
            } else {
                self.title
            },
            purpose: String::new(),
            cautions: Vec::new(),
            words: String::new(),
            player: String::new(),
            instrument: instrument.to_owned(),
            instrument_name: instrument_name.to_owned(),
            clef: self.clef,
            transposition: self.transposition,
            meter: self.meter,
            totals: totals(&lines),
            lines,
            sections: Vec::new(),
            left_out: Vec::new(),
            warnings: self.remarks,
        }
    }
}

/// Time of the lines; an imported part has no load of its own.
fn totals(lines: &[routine::part::Line]) -> Totals {
    let mut totals = Totals::default();
    for line in lines {
        for event in &line.events {
            match event {
                routine::part::Event::Note(note) => {
                    totals.playing_s += note.duration.seconds(line.tempo);
                }
                routine::part::Event::Rest { duration } => {
                    totals.rest_s += duration.seconds(line.tempo);
                }
                routine::part::Event::Breath => {}
            }
        }
        totals.rest_s += line.rest_after.seconds(line.tempo);
    }
    totals
}
