//! What an instrument is: its tube, its mechanism, how it is read and how far it goes.

use serde::{Deserialize, Serialize};
use tone::{Clef, Hertz, Sounding, Transposition, Written};

/// Index of a [`Length`] within [`Instrument::lengths`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct LengthId(pub u16);

/// One state of the tube: valves down or slide position, with any attachment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Length {
    /// Its index.
    pub id: LengthId,
    /// As the player reads it: `0`, `2`, `1-3`, `T12`, or a slide position `4`.
    pub label: String,
    /// Valves down, as a bit set (valve 1 = bit 0); attachments take the bits above the valves.
    pub valves: u16,
    /// Slide position 1 to 7 (whole positions of the open side); `None` for valved instruments.
    pub position: Option<u8>,
    /// Acoustic length relative to the open tube (1.0), exact valve or slide arithmetic.
    pub ratio: f64,
    /// The fundamental of this length of the ideal tube at A4 = 440 Hz.
    pub fundamental: Hertz,
    /// Semitones below the open tube that this length is meant to give.
    pub semitones: u8,
}

/// How a player reads the instrument: a clef and a transposition.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reading {
    /// Identifier within the instrument, such as `treble` or `bass`.
    pub id: String,
    /// Name for people, such as "B-flat treble clef (brass band)".
    pub name: String,
    /// The clef.
    pub clef: Clef,
    /// From written to sounding pitch.
    pub transposition: Transposition,
}

/// The usual compass at a stage of learning, in written pitch of the first reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stage {
    /// Identifier, such as `beginner`.
    pub id: String,
    /// Lowest usual written note.
    pub floor: Written,
    /// Highest usual written note.
    pub roof: Written,
}

/// An instrument of the catalogue or of a user's own file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Identifier: lower-case words with hyphens, such as `trumpet-bflat`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Sounding pitch of the open tube's fundamental (the pedal): B-flat 2 for a B-flat trumpet.
    pub fundamental: Sounding,
    /// Partial that the exercises call home: 4 on the B-flat trumpet (written C5 is 4; C4 is 2).
    pub home_partial: u8,
    /// All states of the tube, the open tube first.
    pub lengths: Vec<Length>,
    /// Ways of reading, the usual one first.
    pub readings: Vec<Reading>,
    /// Usual compass by stage, from beginner on.
    pub stages: Vec<Stage>,
}

impl Instrument {
    /// The length with this id, if it is one of this instrument's.
    #[must_use]
    pub fn length(&self, id: LengthId) -> Option<&Length> {
        self.lengths.get(usize::from(id.0))
    }

    /// The usual reading.
    ///
    /// Every instrument that loads has one; `None` only for a value built by hand without any.
    #[must_use]
    pub fn usual_reading(&self) -> Option<&Reading> {
        self.readings.first()
    }
}
