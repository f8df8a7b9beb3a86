//! The two kinds of pitch that must never mix: written and sounding.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::{ParsePitchError, Pitch};

/// A pitch as it stands in the player's part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Written(pub Pitch);

/// A pitch as it is heard (concert pitch).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Sounding(pub Pitch);

macro_rules! pitch_kind {
    ($kind:ident) => {
        impl $kind {
            /// MIDI key number of the spelled pitch inside.
            #[must_use]
            pub const fn midi(self) -> i32 {
                self.0.midi()
            }
        }

        impl fmt::Display for $kind {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl FromStr for $kind {
            type Err = ParsePitchError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                text.parse().map(Self)
            }
        }
    };
}
pitch_kind!(Written);
pitch_kind!(Sounding);
