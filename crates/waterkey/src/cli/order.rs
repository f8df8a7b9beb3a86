//! What verbs that write, sound or hear a part ask for alike: exercise, instrument, player.

use std::path::{Path, PathBuf};

use routine::player::{Compass, Range};
use routine::{Exercise, Levels, Player, file, library};
use tone::Written as WrittenPitch;

use super::{Failure, pick};
use crate::desk::writing::{Order, Written};

/// Which exercise, for whom.
#[derive(clap::Args)]
pub(crate) struct PartArgs {
    /// Exercise id of the library, or a TOML file of your own.
    #[arg(long, value_name = "ID|FILE")]
    pub(crate) exercise: Option<String>,
    #[command(flatten)]
    pub(crate) player: PlayerArgs,
}

/// For whom a part is.
#[derive(clap::Args)]
pub(crate) struct PlayerArgs {
    /// Instrument id, or a TOML file of your own.
    #[arg(long, value_name = "ID|FILE")]
    instrument: Option<String>,
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
    /// Lowest written note that the player reaches with comfort.
    #[arg(long, requires = "roof", value_name = "NOTE")]
    floor: Option<WrittenPitch>,
    /// Highest written note that the player reaches with comfort.
    #[arg(long, requires = "floor", value_name = "NOTE")]
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
    #[command(flatten)]
    tuning: pick::TuningArgs,
}

impl PartArgs {
    /// The part asked for, or `None` when no exercise was named.
    pub(crate) fn written(&self) -> Result<Option<Written>, Failure> {
        self.exercise
            .as_deref()
            .map(|name| self.player.write(name))
            .transpose()
    }
}

impl PlayerArgs {
    /// Writes the named exercise for this player.
    pub(crate) fn write(&self, exercise: &str) -> Result<Written, Failure> {
        let exercise = find_exercise(exercise)?;
        self.order()?
            .write(&exercise)
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
            Some(path) => file::read_levels(&pick::read_text(path)?)
                .into_result()
                .map_err(|lines| Failure::Input(placed(path, &lines)))?,
        };
        let range = self.floor.zip(self.roof).map(|(floor, roof)| Range {
            comfortable: Compass { floor, roof },
            stretch: None,
        });
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
        })
    }
}

/// An exercise of the library by its id, or one from a file.
pub(crate) fn find_exercise(name: &str) -> Result<Exercise, Failure> {
    if let Some(known) = library::find(name) {
        return Ok(known.clone());
    }
    let path = Path::new(name);
    if path.extension().is_some_and(|end| end == "toml") {
        let parsed = file::read_exercise(&pick::read_text(path)?);
        return parsed
            .into_result()
            .map_err(|lines| Failure::Input(placed(path, &lines)));
    }
    let ids: Vec<&str> = library::exercises().iter().map(|e| e.id.as_str()).collect();
    let near =
        pick::nearest(name, &ids).map_or_else(String::new, |id| format!(" Did you mean `{id}`?"));
    Err(Failure::Input(format!(
        "there is no exercise `{name}`.{near} `waterkey list exercises` names them all; \
         a file of your own ends in .toml"
    )))
}

/// Diagnostics with the file's name before each line.
pub(crate) fn placed(path: &Path, lines: &str) -> String {
    let named: Vec<String> = lines
        .lines()
        .map(|line| format!("{}:{line}", path.display()))
        .collect();
    named.join("\n")
}
