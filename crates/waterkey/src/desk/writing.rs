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
    /// Whether fingerings go by the bore model instead of the ideal tube.
    pub(crate) by_bore: bool,
}

/// Why a part was not written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum WritingError {
    /// The exercise contradicts itself or the settings name what is not there.
    #[error(transparent)]
    Rules(#[from] ExpandError),
    /// The instrument has no bore file.
    #[error("there is no bore for `{instrument}` to finger by: {source}")]
    Bore {
        /// The instrument.
        instrument: String,
        /// What is missing.
        source: horn::bore::BoreError,
    },
    /// The bore model cannot be computed.
    #[error(transparent)]
    Acoustics(#[from] horn::AcousticError),
}

/// Throws under this many millimetres of slide movement are left to the lip.
const LEAST_THROW_MM: f64 = 1.0;

impl Order {
    /// The chart that the parts of this order are fingered with.
    ///
    /// # Errors
    /// [`WritingError`] when the bore is to be gone by and there is none.
    pub(crate) fn chart(&self) -> Result<Chart, WritingError> {
        if !self.by_bore {
            return Ok(horn::ideal::chart(&self.instrument, &self.tuning));
        }
        let bore =
            horn::bore::generic_bore(&self.instrument.id).map_err(|source| WritingError::Bore {
                instrument: self.instrument.id.clone(),
                source,
            })?;
        let setup = horn::Setup::new(self.instrument.clone(), bore);
        let chart = setup.chart(&self.tuning, 0)?;
        Ok(chart.fingerings(&setup.bore, LEAST_THROW_MM))
    }

    /// Writes one of several pieces; `chart` is that of [`Order::chart`].
    ///
    /// # Errors
    /// [`ExpandError`] when an exercise contradicts itself or the player's settings name a level
    /// or a reading that is not there.
    pub(crate) fn part(&self, piece: Piece, chart: &Chart) -> Result<Part, ExpandError> {
        let setup = Setup {
            player: &self.player,
            instrument: &self.instrument,
            chart,
            levels: &self.levels,
            seed: self.seed,
        };
        match piece {
            Piece::Exercise(exercise) => routine::expand(
                &exercise,
                &self.player,
                &self.instrument,
                chart,
                &self.levels,
                self.seed,
            ),
            Piece::Routine(day) => expand_routine(&day, library::exercises(), &setup),
            Piece::Music(music) => {
                let mut part = music.into_part(
                    &self.instrument.id,
                    &self.instrument.name,
                    |note: &ImportedNote| first_choice(chart, note),
                );
                part.player.clone_from(&self.player.name);
                Ok(part)
            }
        }
    }

    /// Writes a piece.
    ///
    /// # Errors
    /// Those of [`Order::chart`] and [`Order::part`].
    pub(crate) fn write(self, piece: Piece) -> Result<Written, WritingError> {
        let chart = self.chart()?;
        let part = self.part(piece, &chart)?;
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
