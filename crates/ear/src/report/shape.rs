//! The report's shape: what is written as JSON. Times are seconds from the start of the take;
//! every measure is a value with its standard uncertainty or the reason why there is none.

use serde::{Deserialize, Serialize};
use tone::Tuning;

use crate::findings::Finding;
use crate::input::{Fault, FaultKind, Source};
use crate::measure::{Against, Envelope};
use crate::room::Room;
use crate::verdict::{Verdict, VerdictKind};
use crate::{Measure, TubePartial};

/// Version of this shape: goes up when a field changes its meaning or goes away.
pub const SHAPE: u32 = 1;

/// Everything that was heard in a take.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// Version of this shape ([`SHAPE`]).
    pub shape: u32,
    /// Name and version of the program that made it.
    pub made_with: String,
    /// Whose take, of what.
    pub heading: Heading,
    /// The tuning that targets were taken from.
    pub tuning: Tuning,
    /// What pitch was measured against.
    pub against: Against,
    /// What the file was; absent for a live take.
    pub source: Option<Source>,
    /// What is wrong with the recording.
    pub faults: Vec<Fault>,
    /// Whether the take is what it was taken for.
    pub verdict: Verdict,
    /// The room, the noise and the microphone.
    pub room: Room,
    /// The take as a whole.
    pub take: TakeMeasures,
    /// The lines played, in time order; a line played twice stands here twice.
    pub lines: Vec<Line>,
    /// Notes outside every line: all notes when nothing was asked for.
    pub other_notes: Vec<Note>,
    /// The same top note in different lines.
    pub same_roof: Vec<SameRoof>,
    /// What was found, most important first.
    pub findings: Vec<Finding>,
    /// Cautions that apply.
    pub cautions: Vec<String>,
}

impl Report {
    /// The faults that a reader is told beside the verdict, which by itself says that nothing but
    /// silence was recorded.
    pub(super) fn faults_to_tell(&self) -> impl Iterator<Item = &Fault> {
        let silent = self.verdict.kind == VerdictKind::Silence;
        let said =
            move |fault: &&Fault| !(silent && matches!(fault.kind, FaultKind::NearSilent { .. }));
        self.faults.iter().filter(said)
    }
}

/// Whose take, of what.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Heading {
    /// Title of the routine or exercise.
    pub title: String,
    /// The player.
    pub player: String,
    /// Instrument id.
    pub instrument: String,
    /// Instrument name for people.
    pub instrument_name: String,
    /// When it was recorded, as the caller wants it shown.
    pub recorded: String,
}

/// The take as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct TakeMeasures {
    /// Length, seconds.
    pub seconds: f64,
    /// Seconds in which a note sounds.
    pub playing_s: f64,
    /// Notes asked for in the lines that were played.
    pub asked: usize,
    /// Of these, played as asked.
    pub as_asked: usize,
    /// Of these, another note in their place.
    pub wrong: usize,
    /// Of these, not heard.
    pub missing: usize,
    /// Notes heard that nothing asked for.
    pub extra: usize,
    /// Slurs heard between asked notes.
    pub slurs: usize,
    /// Slurs in which a partial was caught.
    pub slurs_caught: usize,
    /// Mean of the notes' deviations: the pitch of the take against the standard, cents.
    pub pitch_cents: Measure,
    /// Standard deviation of the notes' deviations about that mean, cents.
    pub spread_cents: Measure,
    /// Typical wander of a note, cents.
    pub wander_cents: Measure,
    /// Typical time of a slur, milliseconds.
    pub slur_ms: Measure,
    /// Typical attack, milliseconds.
    pub attack_ms: Measure,
    /// K-weighted level while playing, LKFS.
    pub level_db: Measure,
    /// A-weighted level while playing, dB(A) SPL, when calibrated.
    pub level_dba: Measure,
}

/// One pass through a line.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The line's id in the part.
    pub id: String,
    /// For people, such as "from A".
    pub label: String,
    /// The exercise it belongs to.
    pub exercise: String,
    /// 0 the first time, 1 when played again.
    pub pass: usize,
    /// When its first note begins.
    pub from_s: f64,
    /// When its last note ends.
    pub to_s: f64,
    /// Its notes in order, the missing ones too.
    pub notes: Vec<Note>,
    /// Its slurs in order.
    pub slurs: Vec<Slur>,
    /// The line as a whole.
    pub measures: LineMeasures,
    /// Pitch and level over time.
    pub curve: Curve,
}

/// A line as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LineMeasures {
    /// Mean deviation of its notes, cents.
    pub pitch_cents: Measure,
    /// Spread of the deviations about the mean, cents.
    pub spread_cents: Measure,
    /// Evenness of level: spread after the trend with pitch is removed, dB.
    pub level_spread_db: Measure,
    /// The trend: dB an octave upward.
    pub level_trend_db: Measure,
    /// Evenness of brightness: spread after the trend with pitch is removed, octaves of centroid.
    pub brightness_spread: Measure,
    /// Tempo against the nominal one: 1 as asked, above 1 faster.
    pub tempo: Measure,
}

/// What became of a note that was asked for, or what a heard note is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Played as asked.
    AsAsked,
    /// Another partial of the same length sounded.
    OtherPartial,
    /// Another note sounded.
    Wrong,
    /// Not heard.
    Missing,
    /// Heard, and nothing asked for it.
    #[default]
    Extra,
}

/// One note, asked for or heard or both.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// Its id in the part; empty for a note that nothing asked for.
    pub id: String,
    /// Sounding name of the note asked for, else of the note heard, such as `Bb3`.
    pub name: String,
    /// Written name in the player's part, when the part is known.
    pub written: Option<String>,
    /// Valves or position as the player reads it, when the part is known.
    pub fingering: Option<String>,
    /// MIDI key asked for.
    pub asked_midi: Option<i32>,
    /// Frequency asked for, hertz.
    pub asked_hz: Option<f64>,
    /// Its partial on its length; 0 when not known.
    pub partial: u8,
    /// What became of it.
    pub outcome: Outcome,
    /// How sure the decoder is of that, 0 to 1; 0 for a missing note.
    pub confidence: f64,
    /// Nearest MIDI key of what was heard.
    pub heard_midi: Option<i32>,
    /// Frequency heard, hertz.
    pub heard_hz: Option<f64>,
    /// When it begins; the middle of the change when slurred into. For a missing note, where it
    /// was looked for.
    pub from_s: f64,
    /// When it ends.
    pub to_s: f64,
    /// Samples from-to of the take at the working rate: the evidence.
    pub samples: (u64, u64),
    /// True when slurred from the note before.
    pub slurred: bool,
    /// Its measures.
    pub measures: NoteMeasures,
}

/// The measures of one note.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct NoteMeasures {
    /// Pitch against the target, cents; flat is negative.
    pub pitch_cents: Measure,
    /// Spread of the pitch in the steady part, vibrato taken out, cents.
    pub wander_cents: Measure,
    /// Vibrato rate, hertz.
    pub vibrato_hz: Measure,
    /// Vibrato extent, from the middle to the crest, cents.
    pub vibrato_cents: Measure,
    /// How far below (negative) or above the note it starts, cents.
    pub scoop_cents: Measure,
    /// From the onset of sound to the settled pitch, milliseconds.
    pub attack_ms: Measure,
    /// The partial that sounded first when the attack was chipped.
    pub chipped: Option<OtherPartial>,
    /// From the steady level to 20 dB below it, milliseconds.
    pub release_ms: Measure,
    /// Pitch at the end against the steady part, cents.
    pub sag_cents: Measure,
    /// K-weighted level of the steady part, LKFS.
    pub level_db: Measure,
    /// A-weighted level, dB(A) SPL, when calibrated.
    pub level_dba: Measure,
    /// Spectral centroid over the fundamental.
    pub brightness: Measure,
    /// Levels of harmonics 1 to 12 against their sum, dB.
    pub partials_db: Vec<Measure>,
    /// Harmonic-to-noise ratio, dB.
    pub noise_db: Measure,
}

/// Another partial than the one asked for, and how long it held.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OtherPartial {
    /// Which, and where the tube has it. The number is 0 when it is no partial of the length.
    #[serde(flatten)]
    pub tube: TubePartial,
    /// How long it held, milliseconds.
    pub held_ms: Measure,
    /// When it began.
    pub from_s: f64,
    /// How sure, 0 to 1.
    pub confidence: f64,
}

/// A slur between two notes of a line.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Slur {
    /// Id of the note it leaves.
    pub from: String,
    /// Id of the note it enters.
    pub to: String,
    /// Names of both, such as `Bb3` and `F4`.
    pub names: (String, String),
    /// When the pitch leaves the old note.
    pub from_s: f64,
    /// When it enters the new one.
    pub to_s: f64,
    /// The time between, milliseconds.
    pub slur_ms: Measure,
    /// How far the level falls below both notes, dB.
    pub dip_db: Measure,
    /// How far the pitch goes past the new note, cents.
    pub overshoot_cents: Measure,
    /// Partials that held on the way for 15 ms or more.
    pub caught: Vec<OtherPartial>,
}

/// Pitch and level over time at even steps, for drawing.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// Time of the first value.
    pub from_s: f64,
    /// Seconds from one value to the next.
    pub step_s: f64,
    /// Pitch as a MIDI key with decimals (69 is A4 of the tuning); null where nothing sounds.
    pub midi: Vec<Option<f32>>,
    /// Level, dB against full scale (not weighted).
    pub level_db: Vec<f32>,
}

/// The same top note reached in lines that start elsewhere.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SameRoof {
    /// Name of the note.
    pub name: String,
    /// Its MIDI key.
    pub midi: i32,
    /// Each time it was reached, in time order.
    pub times: Vec<RoofNote>,
    /// Spread of the level over the times, dB.
    pub level_spread_db: Measure,
    /// Spread of the pitch, cents.
    pub pitch_spread_cents: Measure,
    /// Mean distance of the sounds from their mean, dB RMS over the harmonics.
    pub sound_spread_db: Measure,
}

/// One time a roof was reached.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RoofNote {
    /// The line's label.
    pub line: String,
    /// The note's id.
    pub note: String,
    /// When.
    pub at_s: f64,
    /// Semitones that the line started below it.
    pub below: i32,
    /// Level, LKFS.
    pub level_db: Measure,
    /// Pitch, cents.
    pub pitch_cents: Measure,
    /// Attack, milliseconds.
    pub attack_ms: Measure,
    /// Distance of its sound from the mean of the others, dB RMS over the harmonics.
    pub sound_db: Measure,
    /// Levels of its harmonics, level differences taken out, dB.
    pub envelope: Envelope,
}
