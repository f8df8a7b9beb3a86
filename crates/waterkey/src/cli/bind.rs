//! `bind`: a booklet for one player, or the set for a whole class, as one PDF.

use std::path::PathBuf;

use horn::{Chart, Instrument};
use routine::class::{Member, expand_class, expand_class_routine};
use routine::{Levels, Part, Player, library};
use serde::Serialize;
use tone::{Tuning, Written};

use super::order::{named_piece, understood};
use super::write::{LayoutArgs, save};
use super::{Failure, Output, pick, progress};
use crate::desk::engraving::{self, Book};
use crate::desk::writing::Piece;

const EXAMPLES: &str = "\
Examples:
  waterkey bind book.pdf --piece long-notes-home --piece scales-major-octave --for Ada=trumpet-bflat
  waterkey bind class.pdf --title \"Tuesday band\" --piece arpeggios-one-roof-major \\
      --for Ada=trumpet-bflat --for Bram=trombone-tenor:tenor --for Dora=tuba-bflat

With several players the parts sound together: the same notes, each in the octave of the instrument.";

/// What to bind, for whom.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The PDF to write.
    file: PathBuf,
    /// Exercise or routine, by id or file; in this order.
    #[arg(long = "piece", value_name = "ID|FILE", required = true)]
    pieces: Vec<String>,
    /// A player: NAME=INSTRUMENT or NAME=INSTRUMENT:READING; may be given several times.
    #[arg(long = "for", value_name = "NAME=INSTRUMENT", required = true)]
    players: Vec<String>,
    /// Title on the cover.
    #[arg(long, default_value = "Daily routine")]
    title: String,
    /// Level of everybody.
    #[arg(long)]
    level: Option<String>,
    /// Levels file; the one that comes with the program without.
    #[arg(long, value_name = "FILE")]
    levels: Option<PathBuf>,
    /// Seed of the day.
    #[arg(long, default_value_t = 0)]
    seed: u64,
    #[command(flatten)]
    layout: LayoutArgs,
}

/// One player of the set.
struct Pupil {
    player: Player,
    instrument: Instrument,
    chart: Chart,
    drawing: Option<String>,
    parts: Vec<Part>,
}

#[derive(Serialize)]
struct Bound {
    file: String,
    books: usize,
    parts: usize,
    bytes: usize,
}

/// Writes the pieces for everybody and binds them.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let levels = match &args.levels {
        None => Levels::standard(),
        Some(path) => understood(path, routine::file::read_levels(&pick::read_text(path)?))?,
    };
    let mut pupils = args
        .players
        .iter()
        .map(|text| pupil(text, args.level.clone()))
        .collect::<Result<Vec<Pupil>, Failure>>()?;
    for name in &args.pieces {
        let parts = write(&named_piece(name, None)?, &pupils, &levels, args.seed)?;
        for (pupil, part) in pupils.iter_mut().zip(parts) {
            pupil.parts.push(part);
        }
    }
    let books: Vec<Book<'_>> = pupils
        .iter()
        .map(|pupil| Book {
            title: &args.title,
            subtitle: &pupil.instrument.name,
            player: &pupil.player.name,
            chart: pupil.drawing.as_deref(),
            parts: pupil.parts.iter().collect(),
        })
        .collect();
    let busy = progress::busy("engraving");
    let pdf = engraving::class_set(&books, &args.layout.layout())?;
    busy.finish_and_clear();
    save(&args.file, &pdf)?;
    let bound = Bound {
        file: args.file.display().to_string(),
        books: books.len(),
        parts: books.iter().map(|book| book.parts.len()).sum(),
        bytes: pdf.len(),
    };
    output.show(&bound, |bound| {
        format!(
            "{}: {} books, {} parts, {} bytes",
            bound.file, bound.books, bound.parts, bound.bytes
        )
    })
}

/// `Ada=trumpet-bflat` or `Bram=trombone-tenor:tenor`.
fn pupil(text: &str, level: Option<String>) -> Result<Pupil, Failure> {
    let (name, rest) = text.split_once('=').ok_or_else(|| {
        Failure::Input(format!(
            "--for {text}: write NAME=INSTRUMENT, as in Ada=trumpet-bflat"
        ))
    })?;
    let (instrument, reading) = rest
        .split_once(':')
        .map_or((rest, None), |(id, reading)| (id, Some(reading)));
    let instrument = pick::instrument(instrument)?;
    let read = pick::reading(&instrument, reading)?;
    let chart = horn::ideal::chart(&instrument, &Tuning::default());
    let compass: Option<(Written, Written)> = instrument
        .stages
        .last()
        .map(|stage| (stage.floor, stage.roof));
    // An instrument with too many notes for one page goes without the drawing.
    let drawing = compass.and_then(|compass| {
        score::picture::fingering_chart(&instrument, read, &chart, compass, &score::picture::LIGHT)
            .ok()
    });
    let player = Player {
        reading: reading.map(str::to_owned),
        level,
        ..Player::named(name.to_owned())
    };
    Ok(Pupil {
        player,
        instrument,
        chart,
        drawing,
        parts: Vec::new(),
    })
}

/// One piece for everybody, in their order.
fn write(
    piece: &Piece,
    pupils: &[Pupil],
    levels: &Levels,
    seed: u64,
) -> Result<Vec<Part>, Failure> {
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
        Piece::Music(_) => {
            return Err(Failure::Input(
                "a booklet holds exercises and routines; write MusicXML with `waterkey write`"
                    .into(),
            ));
        }
    };
    class
        .map(|class| class.parts)
        .map_err(|error| Failure::Input(error.to_string()))
}
