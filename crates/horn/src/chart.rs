//! The fingering chart: for every sounding pitch, all lengths that reach it, ranked.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};
use tone::{Cents, Hertz};

use crate::LengthId;

/// How a note is carried by the tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteKind {
    /// A resonance of the tube lies at the note.
    Partial,
    /// The pedal: no resonance lies at the fundamental, its harmonics carry the note.
    Pedal,
    /// Below the compass and not a pedal: carried by harmonics only.
    False,
}

/// One way to reach a note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fingering {
    /// The length.
    pub length: LengthId,
    /// Its label, as the player reads it.
    pub label: String,
    /// Partial number on that length: 1 for a pedal; for a false note the partial an octave above
    /// it, whose even neighbours carry it.
    pub partial: u8,
    /// Where the tube puts the note, against the tuning the chart was made for.
    pub cents: Cents,
    /// The frequency the tube gives.
    pub frequency: Hertz,
    /// Where to put the slide so that the note is in tune, in semitone positions of the open side;
    /// `None` without a slide or when the slide cannot reach that far.
    pub slide_place: Option<f64>,
    /// How the tube carries the note.
    pub kind: NoteKind,
    /// 0 for the usual first choice, then alternates in order.
    pub rank: u8,
    /// Why it stands where it stands, in plain words.
    pub reason: String,
    /// What the bore adds, in a chart made from the bore model.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backing: Option<Backing>,
}

/// What a bore says of one way to a note, beside its cents.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Backing {
    /// Support of this way against that of the best supported way to the same note, 0 to 1.
    pub support: f64,
    /// The slide of a valve loop in use whose throw makes the note true, if one does.
    pub throw: Option<Throw>,
}

/// A slide that a finger or thumb throws while playing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Throw {
    /// Its name in the bore file.
    pub slide: String,
    /// How far out, mm of slide movement.
    pub out_mm: f64,
}

/// All ways to reach all notes, by MIDI key of the sounding pitch.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Chart {
    /// Fingerings by sounding MIDI key, best first.
    pub notes: BTreeMap<i32, Vec<Fingering>>,
}

impl Chart {
    /// Lowest and highest sounding MIDI key that the chart reaches; `None` for an empty chart.
    #[must_use]
    pub fn range(&self) -> Option<RangeInclusive<i32>> {
        let low = self.notes.keys().next()?;
        let high = self.notes.keys().next_back()?;
        Some(*low..=*high)
    }

    /// The ways to reach a sounding MIDI key, first choice first; empty when none does.
    #[must_use]
    pub fn ways(&self, midi: i32) -> &[Fingering] {
        self.notes.get(&midi).map_or(&[], Vec::as_slice)
    }
}
