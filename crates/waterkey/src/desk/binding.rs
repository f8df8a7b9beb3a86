//! Books: pieces for one player or for a whole class, with charts, as one PDF.

use horn::{Chart, Instrument, Reading};
use routine::class::{Member, expand_class, expand_class_routine};
use routine::{ExpandError, Levels, Part, Player, library};
use score::booklet::{Booklet, Chapter};
use score::layout::Layout;
use score::words::Words;
use tone::{Language, Tuning, Written};

use super::engraving::{self, EngravingError};
use super::writing::Piece;

/// One player of a class, with what has been written for them so far.
pub(crate) struct Pupil {
    player: Player,
    instrument: Instrument,
    chart: Chart,
    drawing: Option<String>,
    /// Each under the heading of its chapter.
    parts: Vec<(&'static str, Part)>,
}

/// Why a piece is not written for a class.
#[derive(Debug, thiserror::Error)]
pub(crate) enum BindError {
    /// Somebody else's music belongs to one player.
    #[error("a book holds exercises and routines, no MusicXML")]
    Music,
    /// The piece or a player's settings.
    #[error(transparent)]
    Expand(#[from] ExpandError),
}

impl Pupil {
    /// A player who reads as `read` says, with the fingering chart of the widest compass.
    pub(crate) fn new(
        player: Player,
        instrument: Instrument,
        read: &Reading,
        tuning: &Tuning,
        language: Language,
    ) -> Self {
        let chart = horn::ideal::chart(&instrument, tuning);
        let compass: Option<(Written, Written)> = instrument
            .stages
            .last()
            .map(|stage| (stage.floor, stage.roof));
        // An instrument with too many notes for one page goes without the drawing.
        let drawing = compass.and_then(|compass| {
            let colours = &score::picture::LIGHT;
            score::picture::fingering_chart(&instrument, read, &chart, compass, colours, language)
                .ok()
        });
        Self {
            player,
            instrument,
            chart,
            drawing,
            parts: Vec::new(),
        }
    }

    /// How many parts were written.
    pub(crate) fn parts(&self) -> usize {
        self.parts.len()
    }
}

/// Writes a piece for everybody under a chapter's heading (empty for none): what they play sounds
/// together. What a player's range leaves nothing of is not in their book.
///
/// # Errors
/// [`BindError`].
pub(crate) fn write(
    piece: &Piece,
    heading: &'static str,
    pupils: &mut [Pupil],
    levels: &Levels,
    seed: u64,
) -> Result<(), BindError> {
    let members: Vec<Member<'_>> = pupils
        .iter()
        .map(|pupil| Member {
            player: &pupil.player,
            instrument: &pupil.instrument,
            chart: &pupil.chart,
        })
        .collect();
    let class = match piece {
        Piece::Exercise(exercise) => expand_class(exercise, &members, levels, seed),
        Piece::Routine(day) => {
            expand_class_routine(day, library::exercises(), &members, levels, seed)
        }
        Piece::Music(_) => return Err(BindError::Music),
    };
    for (pupil, part) in pupils.iter_mut().zip(class?.parts) {
        if !part.lines.is_empty() {
            pupil.parts.push((heading, part));
        }
    }
    Ok(())
}

/// Binds everybody's book, one after the other.
///
/// # Errors
/// [`EngravingError`].
pub(crate) fn bind(
    title: &str,
    pupils: &[Pupil],
    layout: &Layout,
) -> Result<Vec<u8>, EngravingError> {
    let books: Vec<Booklet<'_>> = pupils
        .iter()
        .map(|pupil| Booklet {
            title,
            subtitle: &pupil.instrument.name,
            player: &pupil.player.name,
            chart: pupil
                .drawing
                .as_deref()
                .map(|svg| (Words::of(layout.language).chart, svg)),
            chapters: pupil
                .parts
                .chunk_by(|(a, _), (b, _)| a == b)
                .map(|parts| Chapter {
                    heading: parts.first().map_or("", |(heading, _)| heading),
                    parts: parts.iter().map(|(_, part)| part).collect(),
                })
                .collect(),
        })
        .collect();
    engraving::class_set(&books, layout)
}
