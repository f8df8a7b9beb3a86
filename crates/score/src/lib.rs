//! A part on paper: MusicXML, Standard MIDI File, engraved SVG and PDF. No files, no clock.
//!
//! ```text
//! Part -> barred  -> musicxml -> engrave -> page -> pdf
//!      \         \-> midi                 \-> heard
//!       \-> picture
//! ```
//!
//! - [`barred`] turns ticks into bars of printable note values (ties, tuplets, beams, accidentals).
//! - [`musicxml`] writes and reads MusicXML 4.0, plain and compressed.
//! - [`midi`] writes Standard MIDI Files, tuned by pitch bend where asked.
//! - [`layout`] says how a page is to look, [`booklet`] what a book holds, [`words`] what a page
//!   adds to the words of the part.

pub mod barred;
pub mod booklet;
#[cfg(feature = "engrave")]
pub mod engrave;
mod error;
pub mod font;
pub mod heard;
pub mod layout;
pub mod midi;
pub mod musicxml;
pub mod page;
#[cfg(feature = "engrave")]
mod pdf;
pub mod picture;
pub mod svg;
pub mod value;
pub mod words;

pub use error::Error;
