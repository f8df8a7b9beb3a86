//! The user's own files, kept as the text they wrote.

use serde::{Deserialize, Serialize};

use super::{check_id, check_text};
use crate::Result;

/// What an own text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum TextKind {
    /// An instrument (TOML).
    Instrument,
    /// The bore of an instrument (TOML), under the instrument's id.
    Bore,
    /// A mouthpiece (TOML).
    Mouthpiece,
    /// An exercise (TOML).
    Exercise,
    /// The levels (TOML, one text with the id `levels`).
    Levels,
    /// The words for findings (TOML, one text with the id `advice`).
    Advice,
}

impl TextKind {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Instrument,
        Self::Bore,
        Self::Mouthpiece,
        Self::Exercise,
        Self::Levels,
        Self::Advice,
    ];

    /// The word it is kept under.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Instrument => "instrument",
            Self::Bore => "bore",
            Self::Mouthpiece => "mouthpiece",
            Self::Exercise => "exercise",
            Self::Levels => "levels",
            Self::Advice => "advice",
        }
    }
}

/// A text of the user's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct OwnText {
    /// What it is.
    pub kind: TextKind,
    /// Identifier.
    pub id: String,
    /// The text.
    pub text: String,
    /// When it was made, Unix milliseconds.
    pub created_ms: i64,
    /// When it was last changed, Unix milliseconds.
    pub changed_ms: i64,
}

pub(crate) fn check_own_text(id: &str, text: &str) -> Result<()> {
    check_id("id", id)?;
    check_text("text", text, 500_000)
}
