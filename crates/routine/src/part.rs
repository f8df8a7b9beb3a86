//! What a routine becomes for one player: lines of notes with fingerings, rests and load.

use horn::{LengthId, NoteKind};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use tone::{Cents, Clef, KeySignature, Sounding, Transposition, Written};

/// Ticks in a quarter note: divides halves down to 64ths, triplets and quintuplets.
pub const TICKS_PER_QUARTER: u32 = 960;

/// A length of musical time in ticks of 1/960 quarter.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Ticks(pub u32);

impl Ticks {
    /// Seconds at a tempo in quarter notes a minute.
    #[must_use]
    pub fn seconds(self, quarters_per_minute: f64) -> f64 {
        f64::from(self.0) / f64::from(TICKS_PER_QUARTER) * 60.0 / quarters_per_minute
    }
}

/// A dynamic mark.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Dynamic {
    /// Very soft.
    Pp,
    /// Soft.
    P,
    /// Moderately soft.
    Mp,
    /// Moderately loud.
    Mf,
    /// Loud.
    F,
    /// Very loud.
    Ff,
}

/// How a note begins and is held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Articulation {
    /// Tongued, full length.
    #[default]
    Plain,
    /// Short.
    Staccato,
    /// Long, with a soft tongue.
    Tenuto,
    /// With weight at the start.
    Accent,
}

/// The fingering chosen for a note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fingered {
    /// The length of tube.
    pub length: LengthId,
    /// As the player reads it.
    pub label: String,
    /// Partial on that length.
    pub partial: u8,
    /// Where the tube puts the note against the tuning asked for.
    pub cents: Cents,
    /// True when it is not the usual first choice.
    pub alternate: bool,
    /// Pedal or false note, or an ordinary partial.
    pub kind: NoteKind,
    /// Why this one, in plain words.
    pub reason: String,
}

/// A note of a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// Stable within the part: `l3n5` is the fifth note of the third line.
    pub id: String,
    /// What stands in the part.
    pub written: Written,
    /// What is heard.
    pub sounding: Sounding,
    /// How long.
    pub duration: Ticks,
    /// How the tube is set.
    pub fingering: Fingered,
    /// True when the note is slurred from the one before.
    pub slurred: bool,
    /// How it is played.
    pub articulation: Articulation,
    /// A dynamic mark that begins here.
    pub dynamic: Option<Dynamic>,
}

/// One thing in a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase", tag = "kind")]
pub enum Event {
    /// A note.
    Note(Note),
    /// A measured rest.
    Rest {
        /// How long.
        duration: Ticks,
    },
    /// A breath mark; takes no time of its own.
    Breath,
}

/// One line: the figure from one start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Stable within the part: `l3`.
    pub id: String,
    /// For people, such as "from A".
    pub label: String,
    /// Name of the exercise that the line belongs to.
    pub exercise: String,
    /// Key signature as written.
    pub key: KeySignature,
    /// Root of the harmony, sounding: what a drone holds.
    pub root: Sounding,
    /// Notes, rests and breaths in order.
    pub events: Vec<Event>,
    /// Rest after the line.
    pub rest_after: Ticks,
    /// Quarter notes a minute.
    pub tempo: f64,
    /// Load of the line (see the load table).
    pub load: f64,
}

impl Line {
    /// The notes of the line in order.
    pub fn notes(&self) -> impl Iterator<Item = &Note> {
        self.events.iter().filter_map(|event| match event {
            Event::Note(note) => Some(note),
            Event::Rest { .. } | Event::Breath => None,
        })
    }
}

/// Something that the rules asked for and the player's limits took away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Omission {
    /// What was left out.
    pub what: String,
    /// Why.
    pub why: String,
}

/// One exercise within a part: a day's routine has several.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Section {
    /// Id of the exercise.
    pub exercise: String,
    /// Its title.
    pub title: String,
    /// What it is for, in one sentence.
    pub purpose: String,
    /// The teacher's own words about it.
    pub words: String,
    /// Cautions that apply to it.
    pub cautions: Vec<String>,
    /// Beats in a bar and the beat's denominator; `None` for unmetered lines.
    pub meter: Option<(u8, u8)>,
    /// Index of its first line in [`Part::lines`].
    pub first_line: usize,
    /// How many lines it has; 0 when the player's limits left none.
    pub line_count: usize,
    /// Its own time and load.
    pub totals: Totals,
}

/// Time and load of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Totals {
    /// Seconds of playing.
    pub playing_s: f64,
    /// Seconds of rest.
    pub rest_s: f64,
    /// Load in all.
    pub load: f64,
}

/// A routine for one player on one instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Title.
    pub title: String,
    /// What it is for, in one sentence.
    pub purpose: String,
    /// Cautions that apply.
    pub cautions: Vec<String>,
    /// The teacher's own words.
    pub words: String,
    /// Whose part it is; empty for nobody's.
    pub player: String,
    /// Instrument id.
    pub instrument: String,
    /// Instrument name for the head of the page.
    pub instrument_name: String,
    /// The clef to write in.
    pub clef: Clef,
    /// From written to sounding.
    pub transposition: Transposition,
    /// Beats in a bar and the beat's denominator, of the first section (each section has its own);
    /// `None` for unmetered lines.
    pub meter: Option<(u8, u8)>,
    /// The lines.
    pub lines: Vec<Line>,
    /// The exercises that the lines belong to, in order; one for a part made from one exercise.
    #[serde(default)]
    pub sections: Vec<Section>,
    /// What was left out and why.
    pub left_out: Vec<Omission>,
    /// Limits that the part goes over, in plain words; empty when it keeps within them.
    #[serde(default)]
    pub warnings: Vec<String>,
    /// Time and load.
    pub totals: Totals,
}
