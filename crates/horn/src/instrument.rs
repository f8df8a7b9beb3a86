//! What an instrument is: its tube, its mechanism, how it is read and how far it goes.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};
use tone::{Clef, Hertz, Sounding, Transposition, Written};

use crate::Mechanism;

/// Index of a [`Length`] within [`Instrument::lengths`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct LengthId(pub u16);

/// One state of the tube: valves down or slide position, with any attachment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Length {
    /// Its index.
    pub id: LengthId,
    /// As the player reads it: `0`, `2`, `1-3`, `T12`, or a slide position `4`, `T2`.
    pub label: String,
    /// Valves down, as a bit set (valve 1 = bit 0); a thumb valve takes the bit above the valves.
    /// On a slide instrument the bits are the rotors.
    pub valves: u16,
    /// Slide position as the player counts it on this side, 1 to 7; `None` for valved instruments.
    pub position: Option<u8>,
    /// Where the slide really is, in semitone positions of the open side (1.0 is closed): `T2` lies
    /// beyond 2, since the longer tube needs a longer move. `None` for valved instruments.
    pub slide_place: Option<f64>,
    /// Acoustic length relative to the open tube (1.0), exact valve or slide arithmetic.
    pub ratio: f64,
    /// The fundamental of this length of the ideal tube at A4 = 440 Hz.
    pub fundamental: Hertz,
    /// Semitones below the open tube that this length is meant to give; negative on the shorter
    /// side of a double horn.
    pub semitones: i8,
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

/// What players of the instrument usually do: the data behind the order of the chart.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Practice {
    /// Labels of lengths in the order in which a player reaches for them. The usual first choice
    /// for a note is the first of these that carries it on a partial not in `avoid`.
    /// Empty on slide instruments, where the shortest move comes first.
    pub order: Vec<String>,
    /// Partials that are not used by choice (7, 11, ...), ascending.
    pub avoid: Vec<u8>,
    /// The same for the thumb side of a double horn.
    pub thumb_avoid: Vec<u8>,
    /// Lowest sounding note for which the thumb side of a double horn comes first.
    pub thumb_from: Option<Sounding>,
    /// Positions' worth of slide that a player moves rather than press a rotor.
    pub rotor_cost: f64,
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
    /// Partial that the exercises call home: written C5 on the instruments that read treble clef,
    /// which is partial 4 on the B-flat trumpet (C4 is 2) and partial 8 on the F horn.
    pub home_partial: u8,
    /// Highest partial that the chart lists.
    pub highest_partial: u8,
    /// Valves, slide and rotors.
    pub mechanism: Mechanism,
    /// What players usually do.
    pub practice: Practice,
    /// All states of the tube, the open tube first.
    pub lengths: Vec<Length>,
    /// Ways of reading, the usual one first.
    pub readings: Vec<Reading>,
    /// Usual compass by stage, from beginner on.
    pub stages: Vec<Stage>,
    /// Where the data come from, in words.
    pub source: String,
}

impl Instrument {
    /// The length with this id, if it is one of this instrument's.
    #[must_use]
    pub fn length(&self, id: LengthId) -> Option<&Length> {
        self.lengths.get(usize::from(id.0))
    }

    /// The length with this label, such as `1-2` or `T3`.
    #[must_use]
    pub fn length_named(&self, label: &str) -> Option<&Length> {
        self.lengths.iter().find(|length| length.label == label)
    }

    /// The usual reading.
    ///
    /// Every instrument that loads has one; `None` only for a value built by hand without any.
    #[must_use]
    pub fn usual_reading(&self) -> Option<&Reading> {
        self.readings.first()
    }

    /// The reading with this id.
    #[must_use]
    pub fn reading(&self, id: &str) -> Option<&Reading> {
        self.readings.iter().find(|reading| reading.id == id)
    }

    /// The stage with this id.
    #[must_use]
    pub fn stage(&self, id: &str) -> Option<&Stage> {
        self.stages.iter().find(|stage| stage.id == id)
    }

    /// The usual compass over all stages, as sounding MIDI keys; the notes outside it that the
    /// chart holds are the extended range.
    ///
    /// `None` only for a value built by hand without readings or stages.
    #[must_use]
    pub fn standard_range(&self) -> Option<RangeInclusive<i32>> {
        let transposition = self.usual_reading()?.transposition;
        let key = |written| transposition.sounding(written).midi();
        let low = self.stages.iter().map(|stage| key(stage.floor)).min()?;
        let high = self.stages.iter().map(|stage| key(stage.roof)).max()?;
        Some(low..=high)
    }
}
