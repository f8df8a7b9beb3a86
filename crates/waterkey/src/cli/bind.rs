//! `bind`: a booklet for one player, or the set for a whole class, as one PDF.

use std::path::PathBuf;

use routine::exercise::Family;
use routine::{Levels, Player, library};
use serde::Serialize;
use tone::{Language, Tuning};

use super::order::{named_piece, understood};
use super::write::{LayoutArgs, save};
use super::{Failure, Output, pick, progress};
use crate::desk::binding::{self, Pupil};
use crate::desk::writing::Piece;

const EXAMPLES: &str = "\
Examples:
  waterkey bind book.pdf --piece long-notes-home --piece scales-major-octave --for Ada=trumpet-bflat
  waterkey bind scales.pdf --family scales --family cool-down --for Bram=trombone-tenor:tenor
  waterkey bind class.pdf --title \"Tuesday band\" --piece arpeggios-one-roof-major \\
      --for Ada=trumpet-bflat --for Bram=trombone-tenor:tenor --for Dora=tuba-bflat

With several players the parts sound together: the same notes, each in the octave of the instrument.";

/// What to bind, for whom.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The PDF to write.
    file: PathBuf,
    /// Exercise or routine, by id or file; in this order. The whole library by families without
    /// --piece and --family.
    #[arg(long = "piece", value_name = "ID|FILE")]
    pieces: Vec<String>,
    /// A family of the library, such as scales; may be given several times.
    #[arg(long = "family", value_name = "FAMILY", value_parser = family)]
    families: Vec<Family>,
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
    let layout = args.layout.layout();
    let mut pupils = args
        .players
        .iter()
        .map(|text| pupil(text, args.level.clone(), layout.language))
        .collect::<Result<Vec<Pupil>, Failure>>()?;
    for name in &args.pieces {
        let piece = named_piece(name, None)?;
        binding::write(&piece, "", &mut pupils, &levels, args.seed)
            .map_err(|error| Failure::Input(format!("{name}: {error}")))?;
    }
    for family in args.families() {
        for exercise in library::family(family) {
            let piece = Piece::Exercise(Box::new(exercise.clone()));
            binding::write(&piece, family.title(), &mut pupils, &levels, args.seed)
                .map_err(|error| Failure::Input(format!("{}: {error}", exercise.id)))?;
        }
    }
    let busy = progress::busy("engraving");
    let pdf = binding::bind(&args.title, &pupils, &layout)?;
    busy.finish_and_clear();
    save(&args.file, &pdf)?;
    let bound = Bound {
        file: args.file.display().to_string(),
        books: pupils.len(),
        parts: pupils.iter().map(Pupil::parts).sum(),
        bytes: pdf.len(),
    };
    output.show(&bound, |bound| {
        format!(
            "{}: {} books, {} parts, {} bytes",
            bound.file, bound.books, bound.parts, bound.bytes
        )
    })
}

impl Args {
    /// The families asked for; all of them when no piece was named either.
    fn families(&self) -> Vec<Family> {
        if self.pieces.is_empty() && self.families.is_empty() {
            Family::ALL.to_vec()
        } else {
            self.families.clone()
        }
    }
}

/// A family by its name in the files.
fn family(name: &str) -> Result<Family, String> {
    let names = Family::ALL.map(Family::name);
    let found = Family::ALL.into_iter().find(|family| family.name() == name);
    found.ok_or_else(|| {
        let near = pick::nearest(name, &names)
            .map_or_else(String::new, |near| format!(" Did you mean `{near}`?"));
        format!(
            "there is no such family.{near} There are {}",
            names.join(", ")
        )
    })
}

/// `Ada=trumpet-bflat` or `Bram=trombone-tenor:tenor`.
fn pupil(text: &str, level: Option<String>, language: Language) -> Result<Pupil, Failure> {
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
    let player = Player {
        reading: reading.map(str::to_owned),
        level,
        ..Player::named(name.to_owned())
    };
    let read = read.clone();
    Ok(Pupil::new(
        player,
        instrument,
        &read,
        &Tuning::default(),
        language,
    ))
}
