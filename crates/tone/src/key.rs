//! Keys and key signatures by their place on the line of fifths.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::name::{read_name, shortened};
use crate::{Interval, Letter, NoteName};

/// A key signature: sharps positive, flats negative, -7 to 7.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct KeySignature(pub i8);

/// Letters in the order in which sharps are added; flats go the other way.
const SHARPS: [Letter; 7] = [
    Letter::F,
    Letter::C,
    Letter::G,
    Letter::D,
    Letter::A,
    Letter::E,
    Letter::B,
];

impl KeySignature {
    /// A signature of so many sharps (positive) or flats (negative); `None` beyond seven.
    #[must_use]
    pub const fn new(fifths: i8) -> Option<Self> {
        if fifths >= -7 && fifths <= 7 {
            Some(Self(fifths))
        } else {
            None
        }
    }

    /// The letters that carry an accidental, in the order in which they are printed.
    ///
    /// ```
    /// let names: Vec<String> = tone::KeySignature(-3).accidentals().map(|n| n.to_string()).collect();
    /// assert_eq!(names, ["Bb", "Eb", "Ab"]);
    /// ```
    pub fn accidentals(self) -> impl Iterator<Item = NoteName> {
        let count = usize::from(self.0.unsigned_abs());
        let flats = self.0 < 0;
        let letters: Vec<Letter> = if flats {
            SHARPS.into_iter().rev().take(count).collect()
        } else {
            SHARPS.into_iter().take(count).collect()
        };
        let alter = if flats { -1 } else { 1 };
        letters
            .into_iter()
            .map(move |letter| NoteName::new(letter, alter))
    }

    /// What the signature does to a letter: -1, 0 or 1.
    #[must_use]
    pub fn alter(self, letter: Letter) -> i8 {
        self.accidentals()
            .find(|name| name.letter == letter)
            .map_or(0, |name| name.alter)
    }

    /// The major key with this signature.
    #[must_use]
    pub fn major(self) -> Key {
        Key::from_signature(self, Mode::Major)
    }

    /// The minor key with this signature.
    #[must_use]
    pub fn minor(self) -> Key {
        Key::from_signature(self, Mode::Minor)
    }

    /// The signature moved by an interval; beyond six sharps or flats the key is respelled
    /// (C sharp becomes D flat), so the answer lies in -6..=6 unless nothing moved.
    ///
    /// ```
    /// use tone::{Interval, KeySignature};
    ///
    /// // Concert E-flat (three flats) on a B-flat instrument, a major second up: one flat.
    /// assert_eq!(KeySignature(-3).transposed(Interval::new(1, 2)), KeySignature(-1));
    /// ```
    #[must_use]
    pub fn transposed(self, by: Interval) -> Self {
        let moved = i64::from(self.0) + by.fifths();
        let kept = by.fifths() == 0 || (-6..=6).contains(&moved);
        let fifths = if kept {
            moved
        } else {
            // Twelve fifths are the same key by another name.
            (moved + 5).rem_euclid(12) - 5
        };
        i8::try_from(fifths).map_or(self, Self)
    }
}

impl fmt::Display for KeySignature {
    /// "no sharps or flats", "1 flat", "4 sharps".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("no sharps or flats"),
            1 => f.write_str("1 sharp"),
            -1 => f.write_str("1 flat"),
            n if n > 0 => write!(f, "{n} sharps"),
            n => write!(f, "{} flats", n.unsigned_abs()),
        }
    }
}

/// Major or minor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mode {
    /// Major.
    #[default]
    Major,
    /// Natural minor, as the signature has it.
    Minor,
}

/// A key: a tonic and a mode. Reads `Eb`, `E♭ major`, `c# minor`, `F#m`; prints `Eb major`.
///
/// ```
/// let key: tone::Key = "c# minor".parse().unwrap();
/// assert_eq!(key.signature().map(|s| s.0), Some(4));
/// assert_eq!(key.to_string(), "C# minor");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    /// The tonic.
    pub tonic: NoteName,
    /// The mode.
    pub mode: Mode,
}

impl Key {
    /// Fifths from the relative major's tonic to the minor's: A is three above C.
    const MINOR_FIFTHS: i32 = 3;

    fn from_signature(signature: KeySignature, mode: Mode) -> Self {
        let fifths = i32::from(signature.0)
            + match mode {
                Mode::Major => 0,
                Mode::Minor => Self::MINOR_FIFTHS,
            };
        // Every place that an i8 can name is a note name.
        let tonic = NoteName::from_fifths(fifths).unwrap_or(NoteName::new(Letter::C, 0));
        Self { tonic, mode }
    }

    /// The key's signature; `None` where it would need more than seven sharps or flats.
    #[must_use]
    pub fn signature(self) -> Option<KeySignature> {
        let fifths = self.tonic.fifths()
            - match self.mode {
                Mode::Major => 0,
                Mode::Minor => Self::MINOR_FIFTHS,
            };
        KeySignature::new(i8::try_from(fifths).ok()?)
    }

    /// The seven notes of the scale from the tonic up, natural minor for minor keys; `None` where
    /// there is no signature.
    #[must_use]
    pub fn scale(self) -> Option<[NoteName; 7]> {
        let signature = self.signature()?;
        let mut notes = [self.tonic; 7];
        for (step, note) in (0_i32..).zip(&mut notes) {
            let letter = Letter::from_step(self.tonic.letter as i32 + step);
            *note = NoteName::new(letter, signature.alter(letter));
        }
        Some(notes)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.tonic.fmt(f)?;
        f.write_str(match self.mode {
            Mode::Major => " major",
            Mode::Minor => " minor",
        })
    }
}

/// Why a text is not a key.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not a key: write a note name and major or minor, as in Eb major or F# minor")]
pub struct ParseKeyError {
    text: String,
}

impl FromStr for Key {
    type Err = ParseKeyError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let mut chars = text.trim().chars().peekable();
        let tonic = read_name(&mut chars);
        let rest: String = chars.collect();
        let mode = match rest.trim() {
            "m" => Some(Mode::Minor),
            "" => Some(Mode::Major),
            word if word.eq_ignore_ascii_case("major") => Some(Mode::Major),
            word if word.eq_ignore_ascii_case("minor") => Some(Mode::Minor),
            _ => None,
        };
        match (tonic, mode) {
            (Some(tonic), Some(mode)) => Ok(Self { tonic, mode }),
            _ => Err(ParseKeyError {
                text: shortened(text),
            }),
        }
    }
}

impl Serialize for Key {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Key {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}
