//! A part on paper: MusicXML, Standard MIDI File, engraved SVG and PDF.
