//! What verbs that write, sound or hear a part ask for alike: a piece, an instrument, a player.

use std::path::{Path, PathBuf};

use horn::Instrument;
use routine::player::{Compass, Range};
use routine::{Levels, Player, file, library};
use tone::Written as WrittenPitch;

use super::own_file::{self, Content, Kind};
use super::{Failure, pick};
use crate::desk::writing::{Order, Piece, Written};

/// For whom a part is.
#[derive(clap::Args)]
pub(crate) struct PlayerArgs {
    /// Instrument id, or a TOML file of your own.
    #[arg(long, value_name = "ID|FILE")]
    instrument: Option<String>,
    /// Which part of a MusicXML file with several, by name or id.
    #[arg(long, value_name = "NAME")]
    part: Option<String>,
    /// Name for the head of the page.
    #[arg(long, default_value = "", hide_default_value = true)]
    name: String,
    /// How the player reads; the instrument's usual way without.
    #[arg(long)]
    reading: Option<String>,
    /// Level of the levels file.
    #[arg(long)]
    level: Option<String>,
    /// Levels file; the one that comes with the program without.
    #[arg(long, value_name = "FILE")]
    levels: Option<PathBuf>,
    /// Lowest written note that the player reaches with comfort; the instrument's usual without.
    #[arg(long, value_name = "NOTE")]
    floor: Option<WrittenPitch>,
    /// Highest written note that the player reaches with comfort; the instrument's usual without.
    #[arg(long, value_name = "NOTE")]
    roof: Option<WrittenPitch>,
    /// Let lines go down to pedal notes.
    #[arg(long)]
    pedals: bool,
    /// Let lines use false notes.
    #[arg(long)]
    false_notes: bool,
    /// Seed of the day, for orders that are drawn.
    #[arg(long, default_value_t = 0)]
    seed: u64,
    /// Finger by the bore model instead of the ideal tube: its cents, its support, slide throws.
    #[arg(long)]
    by_bore: bool,
    #[command(flatten)]
    tuning: pick::TuningArgs,
}

impl PlayerArgs {
    /// Writes the named piece for this player.
    pub(crate) fn write(&self, piece: &str) -> Result<Written, Failure> {
        let piece = named_piece(piece, self.part.as_deref())?;
        self.order()?
            .write(piece)
            .map_err(|error| Failure::Input(error.to_string()))
    }

    /// The player's settings as an order.
    pub(crate) fn order(&self) -> Result<Order, Failure> {
        let name = self.instrument.as_deref().ok_or_else(|| {
            Failure::Input(
                "say for which instrument: --instrument ID (`waterkey list instruments`)".into(),
            )
        })?;
        let instrument = pick::instrument(name)?;
        let levels = match &self.levels {
            None => Levels::standard(),
            Some(path) => understood(path, file::read_levels(&pick::read_text(path)?))?,
        };
        let range = self.range(&instrument);
        let player = Player {
            reading: self.reading.clone(),
            level: self.level.clone(),
            range,
            pedals: self.pedals,
            false_notes: self.false_notes,
            ..Player::named(self.name.clone())
        };
        let tuning = self.tuning.tuning()?;
        Ok(Order {
            player,
            instrument,
            levels,
            tuning,
            seed: self.seed,
            by_bore: self.by_bore,
        })
    }

    /// The range that was given; an end that was not is that of the instrument's widest stage.
    fn range(&self, instrument: &Instrument) -> Option<Range> {
        if self.floor.is_none() && self.roof.is_none() {
            return None;
        }
        let usual = instrument.usual_reading()?.transposition;
        let reading = self
            .reading
            .as_deref()
            .and_then(|id| instrument.reading(id));
        let transposition = reading.map_or(usual, |reading| reading.transposition);
        let read = |written| transposition.written(usual.sounding(written));
        let lowest = instrument.stages.iter().map(|stage| stage.floor);
        let highest = instrument.stages.iter().map(|stage| stage.roof);
        let floor = self
            .floor
            .or(lowest.min_by_key(|note| note.midi()).map(read))?;
        let roof = self
            .roof
            .or(highest.max_by_key(|note| note.midi()).map(read))?;
        Some(Range {
            comfortable: Compass { floor, roof },
            stretch: None,
        })
    }
}

/// A piece of the library by its id, or one from a file: an exercise or a day's routine in
/// TOML, or MusicXML.
pub(crate) fn named_piece(name: &str, part: Option<&str>) -> Result<Piece, Failure> {
    if let Some(known) = library::find(name) {
        return Ok(Piece::Exercise(Box::new(known.clone())));
    }
    if let Some(day) = library::routines().iter().find(|day| day.id == name) {
        return Ok(Piece::Routine(day.clone()));
    }
    let path = Path::new(name);
    match path.extension().and_then(|end| end.to_str()) {
        Some("toml") => {
            let text = pick::read_text(path)?;
            let (content, found) = Kind::of(&text).read(&text);
            match content {
                Some(Content::Exercise(exercise)) => Ok(Piece::Exercise(exercise)),
                Some(Content::Routine(day)) => Ok(Piece::Routine(day)),
                Some(Content::Levels) => Err(Failure::Input(format!(
                    "{} holds levels, not music; give it with --levels",
                    path.display()
                ))),
                None => Err(Failure::Input(own_file::named(path, &found))),
            }
        }
        Some("musicxml" | "xml" | "mxl") => {
            let bytes = std::fs::read(path).map_err(|error| {
                Failure::Input(format!("cannot read {}: {error}", path.display()))
            })?;
            let music = score::musicxml::read(&bytes, part)
                .map_err(|error| Failure::Input(format!("{}: {error}", path.display())))?;
            Ok(Piece::Music(Box::new(music)))
        }
        _ => Err(unknown_piece(name)),
    }
}

fn unknown_piece(name: &str) -> Failure {
    let days = library::routines().iter().map(|day| day.id.as_str());
    let ids: Vec<&str> = library::exercises()
        .iter()
        .map(|e| e.id.as_str())
        .chain(days)
        .collect();
    let near =
        pick::nearest(name, &ids).map_or_else(String::new, |id| format!(" Did you mean `{id}`?"));
    Failure::Input(format!(
        "there is no exercise or routine `{name}`.{near} `waterkey list exercises` and \
         `waterkey list routines` name them all; a file of your own ends in .toml, .musicxml or .mxl"
    ))
}

/// The value of a file, or its diagnostics with the file's name before each line.
pub(crate) fn understood<T>(path: &Path, parsed: file::Parsed<T>) -> Result<T, Failure> {
    let found = parsed.diagnostics;
    parsed
        .value
        .ok_or_else(|| Failure::Input(own_file::named(path, &found)))
}
