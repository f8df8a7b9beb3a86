//! Who the routine is for: reading, range today, level and limits.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use tone::Written;

/// The settings of one player on one instrument.
///
/// ```
/// use routine::player::{Compass, Player, Range};
/// let mut player = Player::named("Ada");
/// player.range = Some(Range {
///     comfortable: Compass { floor: "A3".parse().unwrap(), roof: "E5".parse().unwrap() },
///     stretch: Some(Compass { floor: "G3".parse().unwrap(), roof: "G5".parse().unwrap() }),
/// });
/// assert!(!player.pedals);
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Player {
    /// Name on the page; empty for nobody's.
    pub name: String,
    /// Id of the reading ([`horn::Reading::id`]); the instrument's usual one without it.
    pub reading: Option<String>,
    /// Range, written in that reading; without it the instrument's usual compass.
    pub range: Option<Range>,
    /// Which part of the range is used today.
    pub today: Today,
    /// Id of the level; without it no level limits apply.
    pub level: Option<String>,
    /// Whether lines may go down to pedal notes.
    pub pedals: bool,
    /// Whether lines may use false notes, those below the tube's usual compass that are no pedals.
    pub false_notes: bool,
    /// What the fingerings are chosen to be true to.
    pub intonation: Intonation,
    /// What a day may ask; the level's limits without it.
    pub limits: Option<Limits>,
}

impl Player {
    /// A player of that name with nothing set.
    #[must_use]
    pub fn named(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            ..Self::default()
        }
    }

    /// The compass that counts today.
    #[must_use]
    pub fn compass(&self) -> Option<Compass> {
        let range = self.range?;
        Some(match self.today {
            Today::Comfortable => range.comfortable,
            Today::Stretch => range.stretch.unwrap_or(range.comfortable),
        })
    }
}

/// Lowest and highest written note.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Compass {
    /// Lowest.
    pub floor: Written,
    /// Highest.
    pub roof: Written,
}

/// What a player reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Range {
    /// Without effort.
    pub comfortable: Compass,
    /// On a good day; the comfortable range without it.
    pub stretch: Option<Compass>,
}

/// Which range counts today.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Today {
    /// The comfortable one.
    #[default]
    Comfortable,
    /// The wider one.
    Stretch,
}

/// What a note is true to when fingerings are chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Intonation {
    /// Equal temperament.
    #[default]
    Equal,
    /// Five-limit just intervals over the root of the line, as over a drone.
    JustOverRoot,
}

/// What one day may ask of the lip. Defaults are common practice, no source: a teacher edits them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Minutes of sounding notes in a day.
    pub playing_minutes: f64,
    /// Load in a day (see [`load`](crate::load)): minutes of the home note at mf.
    pub load_minutes: f64,
    /// Longest line without a breath, seconds.
    pub breath_seconds: f64,
}

impl Default for Limits {
    /// An hour of sounding notes, as much load again by half, ten seconds a breath.
    /// Common practice, no source.
    fn default() -> Self {
        Self {
            playing_minutes: 60.0,
            load_minutes: 90.0,
            breath_seconds: 10.0,
        }
    }
}
