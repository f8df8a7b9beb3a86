//! How the program behaves for this household: one value, every field with a default.

use serde::{Deserialize, Serialize};

use super::check_text;
use crate::{Error, Result};

/// Colours of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// As the system has it.
    #[default]
    Auto,
    /// Dark ink on light paper.
    Light,
    /// Light ink on dark paper.
    Dark,
}

/// Size of printed pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1).
    Letter,
}

/// Which fingerings stand over the notes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum ShowFingerings {
    /// Over every note.
    Always,
    /// Where they are not the usual first choice.
    #[default]
    Unusual,
    /// Nowhere.
    Never,
}

/// The settings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Settings {
    /// Pitch standard in hertz, 415 to 466.
    #[cfg_attr(feature = "schema", schema(minimum = 415, maximum = 466))]
    pub a4: f64,
    /// Temperament that pitch is held against: `equal`, `just`, `pythagorean` or `meantone`.
    pub temperament: String,
    /// Temperature of the air in the tube, degrees Celsius, -10 to 45.
    #[cfg_attr(feature = "schema", schema(minimum = -10, maximum = 45))]
    pub temperature_c: f64,
    /// Colours of the page.
    pub theme: Theme,
    /// Language of the page, such as `en`.
    pub language: String,
    /// Beats counted in, 0 to 16.
    #[cfg_attr(feature = "schema", schema(maximum = 16))]
    pub count_in_beats: u32,
    /// Whether a drone sounds with the line.
    pub drone: bool,
    /// Whether parts are printed large.
    pub large_print: bool,
    /// Size of printed pages.
    pub paper: Paper,
    /// Which fingerings stand over the notes.
    pub fingerings: ShowFingerings,
    /// Sound pressure level in dB(A) of digital full scale, from a calibration; levels are
    /// relative without.
    pub calibration_db: Option<f64>,
    /// The player chosen last.
    pub player: Option<String>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            a4: 440.0,
            temperament: "equal".into(),
            temperature_c: 21.0,
            theme: Theme::default(),
            language: "en".into(),
            count_in_beats: 4,
            drone: false,
            large_print: false,
            paper: Paper::default(),
            fingerings: ShowFingerings::default(),
            calibration_db: None,
            player: None,
        }
    }
}

impl Settings {
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub(crate) fn check(&self) -> Result<()> {
        if !(415.0..=466.0).contains(&self.a4) {
            return Err(Error::invalid("a4", "must be 415 to 466 Hz"));
        }
        if !["equal", "just", "pythagorean", "meantone"].contains(&self.temperament.as_str()) {
            return Err(Error::invalid(
                "temperament",
                "must be equal, just, pythagorean or meantone",
            ));
        }
        if !(-10.0..=45.0).contains(&self.temperature_c) {
            return Err(Error::invalid("temperature_c", "must be -10 to 45"));
        }
        if self.count_in_beats > 16 {
            return Err(Error::invalid("count_in_beats", "must be 0 to 16"));
        }
        if self
            .calibration_db
            .is_some_and(|db| !(40.0..=180.0).contains(&db))
        {
            return Err(Error::invalid("calibration_db", "must be 40 to 180 dB(A)"));
        }
        check_text("language", &self.language, 20)?;
        check_text("player", self.player.as_deref().unwrap_or(""), 80)
    }
}
