//! MusicXML 4.0 (W3C Community Group report): written and read, plain and compressed.

mod header;
mod mxl;
mod note;
mod read;
mod write;
mod xml;

use routine::part::Part;

pub use read::{Imported, ImportedEvent, ImportedLine, ImportedNote, read};
pub(crate) use xml::printable;

use crate::layout::Fingerings;
use crate::{Error, barred};

/// What goes into the file besides the notes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// Which fingerings or positions are written.
    pub fingerings: Fingerings,
    /// Encoding date as `YYYY-MM-DD`; empty for none. There is no clock in this crate.
    pub date: String,
    /// Only what the engraver needs: texts and fingerings are set around its staves.
    pub(crate) bare: bool,
}

/// The part as a MusicXML 4.0 partwise document.
///
/// Every note keeps its [`Note::id`](routine::part::Note::id) in the `id` attribute; the tied
/// continuations of a note add `-2`, `-3`. Lines begin new systems; a line's tempo, label and
/// exercise stand as directions above its first bar. The part is in written pitch with a
/// `transpose` element.
///
/// # Errors
///
/// [`Error::Empty`], [`Error::Duration`], [`Error::Meter`] or [`Error::Pitch`], naming the line
/// and note.
pub fn write(part: &Part, options: &Options) -> Result<String, Error> {
    write::document(&barred::cut(part)?, options)
}

/// The part as a compressed MusicXML file (`.mxl`).
///
/// # Errors
///
/// Those of [`write()`], and [`Error::Zip`].
pub fn write_mxl(part: &Part, options: &Options) -> Result<Vec<u8>, Error> {
    mxl::pack(&write(part, options)?)
}

/// A MusicXML document packed as a compressed file (`.mxl`), unchanged.
///
/// # Errors
///
/// [`Error::Zip`].
pub fn pack(document: &str) -> Result<Vec<u8>, Error> {
    mxl::pack(document)
}

/// The document of a plain or compressed MusicXML file, unchanged but for its encoding: UTF-8.
///
/// ```
/// use score::musicxml::{pack, unpack};
/// let document = "<?xml version=\"1.0\"?><score-partwise/><!-- kept -->";
/// assert_eq!(unpack(&pack(document).unwrap()).unwrap(), document);
/// assert_eq!(unpack(document.as_bytes()).unwrap(), document);
/// ```
///
/// # Errors
///
/// [`Error::Zip`] or [`Error::NotMusicXml`] when no well-formed document comes out.
pub fn unpack(bytes: &[u8]) -> Result<String, Error> {
    read::document(bytes)
}

/// The document that the engraver reads, for one line: notes and signs, no texts and no
/// fingerings.
#[cfg(feature = "engrave")]
pub(crate) fn bare_line(barred: &barred::Barred<'_>, index: usize) -> Result<String, Error> {
    write::line(barred, index)
}
