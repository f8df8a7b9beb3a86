//! From a piece and a player to a part, with the chart and the tuning it was made with.

use horn::{Chart, Instrument, LengthId, NoteKind};
use routine::part::Fingered;
use routine::routine::{Routine, expand_routine};
use routine::{Exercise, ExpandError, Levels, Part, Player, Setup, library};
use score::musicxml::{Imported, ImportedNote};
use tone::{Cents, Tuning};

/// What can be written for a player.
pub(crate) enum Piece {
    /// One exercise.
    Exercise(Box<Exercise>),
    /// A day's routine.
    Routine(Routine),
    /// Music that somebody else wrote down.
    Music(Box<Imported>),
}

/// A part with what it was made from: exports, sound and hearing need the same.
pub(crate) struct Written {
    /// The part.
    pub(crate) part: Part,
    /// On which instrument.
    pub(crate) instrument: Instrument,
    /// Its chart in that tuning.
    pub(crate) chart: Chart,
    /// The tuning.
    pub(crate) tuning: Tuning,
}

/// For whom and how a part is written.
#[derive(Clone)]
pub(crate) struct Order {
    /// The player's settings.
    pub(crate) player: Player,
    /// The instrument.
    pub(crate) instrument: Instrument,
    /// The levels file.
    pub(crate) levels: Levels,
    /// The tuning of the day.
    pub(crate) tuning: Tuning,
    /// The seed of the day, for orders that are drawn.
    pub(crate) seed: u64,
}

impl Order {
    /// Writes a piece.
    ///
    /// # Errors
    /// [`ExpandError`] when an exercise contradicts itself or the player's settings name a level
    /// or a reading that is not there.
    pub(crate) fn write(self, piece: Piece) -> Result<Written, ExpandError> {
        let chart = horn::ideal::chart(&self.instrument, &self.tuning);
        let setup = Setup {
            player: &self.player,
            instrument: &self.instrument,
            chart: &chart,
            levels: &self.levels,
            seed: self.seed,
        };
        let part = match piece {
            Piece::Exercise(exercise) => routine::expand(
                &exercise,
                &self.player,
                &self.instrument,
                &chart,
                &self.levels,
                self.seed,
            )?,
            Piece::Routine(day) => expand_routine(&day, library::exercises(), &setup)?,
            Piece::Music(music) => {
                let mut part = music.into_part(
                    &self.instrument.id,
                    &self.instrument.name,
                    |note: &ImportedNote| first_choice(&chart, note),
                );
                part.player.clone_from(&self.player.name);
                part
            }
        };
        Ok(Written {
            part,
            instrument: self.instrument,
            chart,
            tuning: self.tuning,
        })
    }
}

/// The file's own fingering where the chart has it, else the chart's first choice.
fn first_choice(chart: &Chart, note: &ImportedNote) -> Fingered {
    let ways = chart.ways(note.sounding.midi());
    let own = ways.iter().find(|way| way.label == note.fingering);
    match own.or_else(|| ways.first()) {
        Some(way) => Fingered {
            length: way.length,
            label: way.label.clone(),
            partial: way.partial,
            cents: way.cents,
            alternate: way.rank > 0,
            kind: way.kind,
            reason: way.reason.clone(),
        },
        None => Fingered {
            length: LengthId(0),
            label: String::new(),
            partial: 0,
            cents: Cents(0.0),
            alternate: false,
            kind: NoteKind::False,
            reason: "no length of this instrument reaches the note".into(),
        },
    }
}
