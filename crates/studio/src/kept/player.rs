//! A player: instrument, range of the day, limits.

use serde::{Deserialize, Serialize};
use tone::Written;

use super::{check_id, check_text};
use crate::{Error, Result};

/// What a person says about a player.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PlayerInput {
    /// Name, 1 to 200 characters.
    pub name: String,
    /// Instrument id.
    pub instrument: String,
    /// Reading of the instrument; the usual one when absent.
    #[serde(default)]
    pub reading: Option<String>,
    /// Level id.
    #[serde(default)]
    pub level: Option<String>,
    /// Lowest comfortable written note today.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schema(value_type = Option<String>))]
    pub floor: Option<Written>,
    /// Highest comfortable written note today.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schema(value_type = Option<String>))]
    pub roof: Option<Written>,
    /// Lowest written note to reach for.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schema(value_type = Option<String>))]
    pub stretch_floor: Option<Written>,
    /// Highest written note to reach for.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schema(value_type = Option<String>))]
    pub stretch_roof: Option<Written>,
    /// Whether pedal and false notes are wanted.
    #[serde(default)]
    pub pedals: bool,
    /// Minutes of playing a day at most, 1 to 600; common practice, no source.
    #[serde(default = "default_minutes")]
    #[cfg_attr(feature = "schema", schema(minimum = 1, maximum = 600))]
    pub minutes_a_day: u32,
    /// Load a day at most; by minutes alone when absent.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schema(minimum = 0))]
    pub load_a_day: Option<f64>,
    /// Free words of the teacher or player.
    #[serde(default)]
    pub words: String,
}

/// An hour of playing a day; common practice, no source.
fn default_minutes() -> u32 {
    60
}

impl PlayerInput {
    /// A player of whom only the name and the instrument are known.
    #[must_use]
    pub fn named(name: impl Into<String>, instrument: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            instrument: instrument.into(),
            reading: None,
            level: None,
            floor: None,
            roof: None,
            stretch_floor: None,
            stretch_roof: None,
            pedals: false,
            minutes_a_day: default_minutes(),
            load_a_day: None,
            words: String::new(),
        }
    }

    /// Checks what can be checked without the catalogue.
    ///
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub fn check(&self) -> Result<()> {
        check_text("name", &self.name, 200)?;
        if self.name.trim().is_empty() {
            return Err(Error::invalid("name", "must not be empty"));
        }
        check_id("instrument", &self.instrument)?;
        for (what, id) in [("reading", &self.reading), ("level", &self.level)] {
            if let Some(id) = id {
                check_id(what, id)?;
            }
        }
        let below = |low: Option<Written>, high: Option<Written>| {
            low.zip(high)
                .is_none_or(|(low, high)| low.midi() < high.midi())
        };
        if !below(self.floor, self.roof) {
            return Err(Error::invalid("floor", "must lie below the roof"));
        }
        if !below(self.stretch_floor, self.stretch_roof) {
            return Err(Error::invalid(
                "stretch_floor",
                "must lie below the stretch roof",
            ));
        }
        if !(1..=600).contains(&self.minutes_a_day) {
            return Err(Error::invalid("minutes_a_day", "must be 1 to 600"));
        }
        if self
            .load_a_day
            .is_some_and(|load| !load.is_finite() || load < 0.0)
        {
            return Err(Error::invalid("load_a_day", "must not be negative"));
        }
        check_text("words", &self.words, 10_000)
    }
}

/// A player as kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Player {
    /// Identifier.
    pub id: String,
    /// What was said about them.
    #[serde(flatten)]
    pub about: PlayerInput,
    /// When it was made, Unix milliseconds.
    pub created_ms: i64,
    /// When it was last changed, Unix milliseconds.
    pub changed_ms: i64,
}
