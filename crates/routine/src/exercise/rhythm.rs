//! Note values, the rhythm that repeats along a line, and the metre.

use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::part::{TICKS_PER_QUARTER, Ticks};

/// Why a text is not a note value, rhythm or metre.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct RhythmError(String);

/// A note value or a rest, as a fraction of a whole note: `1/4`, dotted `1/4.`, triplet `1/8t`,
/// `5/4` for a note of five quarters, `r1/8` for a rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteValue {
    /// How long.
    pub ticks: Ticks,
    /// True for a rest.
    pub rest: bool,
    text: String,
}

impl FromStr for NoteValue {
    type Err = RhythmError;

    fn from_str(text: &str) -> Result<Self, RhythmError> {
        let fail = || {
            RhythmError(format!(
                "`{}` is not a note value: write 1/4 for a quarter, 1/4. dotted, 1/8t in a triplet, r1/4 for a rest",
                text.chars().take(20).collect::<String>()
            ))
        };
        let (rest, body) = match text.strip_prefix('r') {
            Some(body) => (true, body),
            None => (false, text),
        };
        let (body, up, down) = if let Some(body) = body.strip_suffix('.') {
            (body, 3, 2)
        } else if let Some(body) = body.strip_suffix('t') {
            (body, 2, 3)
        } else {
            (body, 1, 1)
        };
        let (top, bottom) = body.split_once('/').ok_or_else(fail)?;
        let top: u32 = top.parse().map_err(|_| fail())?;
        let bottom: u32 = bottom.parse().map_err(|_| fail())?;
        if !(1..=64).contains(&top) || !bottom.is_power_of_two() || bottom > 64 {
            return Err(fail());
        }
        let ticks = 4 * TICKS_PER_QUARTER * top * up;
        if !ticks.is_multiple_of(bottom * down) {
            return Err(fail());
        }
        Ok(Self {
            ticks: Ticks(ticks / (bottom * down)),
            rest,
            text: text.to_owned(),
        })
    }
}

impl fmt::Display for NoteValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// Note values that repeat along the line: `"1/8 1/8 1/4"`.
///
/// ```
/// use routine::exercise::Rhythm;
/// let rhythm: Rhythm = "1/4. 1/8".parse().unwrap();
/// assert_eq!(rhythm.values.iter().map(|v| v.ticks.0).sum::<u32>(), 1920);
/// assert!("1/3".parse::<Rhythm>().is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rhythm {
    /// At least one that is not a rest.
    pub values: Vec<NoteValue>,
}

impl FromStr for Rhythm {
    type Err = RhythmError;

    fn from_str(text: &str) -> Result<Self, RhythmError> {
        let values = text
            .split_whitespace()
            .map(str::parse)
            .collect::<Result<Vec<NoteValue>, _>>()?;
        if values.iter().all(|v| v.rest) {
            return Err(RhythmError(
                "a rhythm needs at least one note, as in 1/4".to_owned(),
            ));
        }
        if values.len() > 64 {
            return Err(RhythmError("a rhythm has at most 64 values".to_owned()));
        }
        Ok(Self { values })
    }
}

impl fmt::Display for Rhythm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, value) in self.values.iter().enumerate() {
            if i > 0 {
                f.write_str(" ")?;
            }
            value.fmt(f)?;
        }
        Ok(())
    }
}

/// Beats in a bar, or `free` for lines without bars.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meter(pub Option<(u8, u8)>);

impl Default for Meter {
    fn default() -> Self {
        Self(Some((4, 4)))
    }
}

impl Meter {
    /// Length of a bar; a quarter note when there are none.
    #[must_use]
    pub fn bar(self) -> Ticks {
        self.0.map_or(Ticks(TICKS_PER_QUARTER), |(beats, unit)| {
            Ticks(u32::from(beats) * self.beat_of(unit))
        })
    }

    /// Length of a beat as the denominator gives it; a quarter note when there are no bars.
    #[must_use]
    pub fn beat(self) -> Ticks {
        Ticks(
            self.0
                .map_or(TICKS_PER_QUARTER, |(_, unit)| self.beat_of(unit)),
        )
    }

    const fn beat_of(self, unit: u8) -> u32 {
        if unit == 0 {
            TICKS_PER_QUARTER
        } else {
            4 * TICKS_PER_QUARTER / unit as u32
        }
    }
}

impl FromStr for Meter {
    type Err = RhythmError;

    fn from_str(text: &str) -> Result<Self, RhythmError> {
        if text == "free" {
            return Ok(Self(None));
        }
        let parts = text
            .split_once('/')
            .and_then(|(n, d)| Some((n.parse::<u8>().ok()?, d.parse::<u8>().ok()?)));
        match parts {
            Some((n @ 1..=32, d @ (1 | 2 | 4 | 8 | 16))) => Ok(Self(Some((n, d)))),
            _ => Err(RhythmError(format!(
                "`{}` is not a metre: write 4/4, 3/4, 6/8 ..., or free",
                text.chars().take(20).collect::<String>()
            ))),
        }
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Some((n, d)) => write!(f, "{n}/{d}"),
            None => f.write_str("free"),
        }
    }
}

macro_rules! as_text {
    ($kind:ident, $pattern:literal, $doc:literal) => {
        impl Serialize for $kind {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $kind {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                String::deserialize(d)?
                    .parse()
                    .map_err(serde::de::Error::custom)
            }
        }

        impl JsonSchema for $kind {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($kind).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "pattern": $pattern, "description": $doc })
            }
        }
    };
}
as_text!(
    NoteValue,
    "^r?[0-9]{1,2}/(1|2|4|8|16|32|64)[.t]?$",
    "A note value or rest: 1/4, 1/4. dotted, 1/8t in a triplet, r1/8 a rest."
);
as_text!(
    Rhythm,
    "^\\s*r?[0-9]{1,2}/(1|2|4|8|16|32|64)[.t]?(\\s+r?[0-9]{1,2}/(1|2|4|8|16|32|64)[.t]?)*\\s*$",
    "Note values that repeat along the line: 1/8 1/8 1/4."
);
as_text!(
    Meter,
    "^(free|[0-9]{1,2}/(1|2|4|8|16))$",
    "4/4, 3/4, 6/8 ..., or free."
);
