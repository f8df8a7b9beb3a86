//! Pitches named against the tube, so that one exercise serves every instrument.

use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use tone::{ParsePitchError, Pitch};

/// A pitch named against the tube: `C5` is the home partial of the open tube, whatever it sounds.
///
/// On a B-flat trumpet, and on everything that brass bands read in treble clef, these are the
/// written names. On a tenor trombone `C5` sounds B-flat 3, on a tuba in F it sounds F3.
///
/// ```
/// use routine::exercise::TubePitch;
/// let roof: TubePitch = "C6".parse().unwrap();
/// assert_eq!(roof.semitones_above_home(), 12);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TubePitch(pub Pitch);

/// MIDI key of the name that stands for home.
pub const HOME_KEY: i32 = 72;

impl TubePitch {
    /// Key number on the scale where home, `C5`, is 72.
    #[must_use]
    pub const fn key(self) -> i32 {
        self.0.midi()
    }

    /// Semitones above the home partial of the open tube.
    #[must_use]
    pub const fn semitones_above_home(self) -> i32 {
        self.0.midi() - HOME_KEY
    }

    /// The usual name of a key number.
    #[must_use]
    pub fn from_key(key: i32) -> Self {
        Self(Pitch::from_midi(key))
    }
}

impl fmt::Display for TubePitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl FromStr for TubePitch {
    type Err = ParsePitchError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        text.parse().map(Self)
    }
}

impl JsonSchema for TubePitch {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "TubePitch".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A pitch named against the tube: C5 is the home partial of the open tube.",
            "pattern": "^[A-Ga-g][b#♭♯]{0,3}-?[0-9]{1,2}$"
        })
    }
}
