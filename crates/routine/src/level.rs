//! Levels: what a stage of learning allows, in a file that a teacher edits.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::exercise::TubePitch;
use crate::player::Limits;

/// One level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Level {
    /// Identifier, such as `second`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Highest note, named against the tube.
    pub roof: TubePitch,
    /// Lowest note, named against the tube.
    pub floor: TubePitch,
    /// Share of the way from an exercise's calmest to its quickest tempo, 0 to 1.
    pub tempo: f64,
    /// Most sharps or flats of a line's key, 0 to 7, counted against the tube: none in the key of
    /// the open tube (C for a B-flat trumpet, B-flat for a trombone in bass clef).
    pub accidentals: u8,
    /// Minutes for one exercise, rests included.
    pub minutes: f64,
    /// What one day may ask.
    pub limits: Limits,
}

/// All levels, easiest first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Levels {
    /// Version of the format: 1.
    pub version: u32,
    /// The levels, easiest first.
    #[serde(rename = "level")]
    pub levels: Vec<Level>,
}

impl Levels {
    /// The six levels that come with the program (common practice, no source: made to be edited).
    ///
    /// ```
    /// let levels = routine::level::Levels::standard();
    /// assert_eq!(levels.levels.len(), 6);
    /// assert!(levels.find("first").is_some());
    /// ```
    #[must_use]
    pub fn standard() -> Self {
        crate::file::read_levels(STANDARD).value.unwrap_or_default()
    }

    /// The level with this id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<&Level> {
        self.levels.iter().find(|level| level.id == id)
    }

    /// All ids, for messages.
    #[must_use]
    pub fn ids(&self) -> Vec<&str> {
        self.levels.iter().map(|level| level.id.as_str()).collect()
    }
}

/// Text of the standard levels, to copy and edit.
pub const STANDARD: &str = include_str!("../levels.toml");
