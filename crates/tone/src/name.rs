//! Note names without an octave: a letter and its accidental, with their place on the line of fifths.

use std::fmt;
use std::iter::Peekable;
use std::str::{Chars, FromStr};

use serde::{Deserialize, Serialize};

use crate::Letter;

/// The most accidentals that a name may carry when it is read.
const MOST_ACCIDENTALS: i8 = 3;

/// A spelled note without an octave: B flat, F sharp.
///
/// Reads and prints plain (`Bb`, `F#`); the alternate form prints signs (`{:#}` gives `B♭`).
///
/// ```
/// let name: tone::NoteName = "E♭".parse().unwrap();
/// assert_eq!(name.to_string(), "Eb");
/// assert_eq!(format!("{name:#}"), "E♭");
/// assert_eq!(name.fifths(), -3);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NoteName {
    /// The letter.
    pub letter: Letter,
    /// Semitones of accidental: -1 flat, +1 sharp.
    pub alter: i8,
}

impl NoteName {
    /// A name from its two parts.
    #[must_use]
    pub const fn new(letter: Letter, alter: i8) -> Self {
        Self { letter, alter }
    }

    /// Pitch class, 0 to 11 from C.
    #[must_use]
    pub const fn pitch_class(self) -> u8 {
        (self.letter.semitones() + self.alter as i32).rem_euclid(12) as u8
    }

    /// Place on the line of fifths: F -1, C 0, G 1, D 2; each sharp adds 7, each flat takes 7.
    #[must_use]
    pub const fn fifths(self) -> i32 {
        let natural = match self.letter {
            Letter::F => -1,
            Letter::C => 0,
            Letter::G => 1,
            Letter::D => 2,
            Letter::A => 3,
            Letter::E => 4,
            Letter::B => 5,
        };
        natural + 7 * self.alter as i32
    }

    /// The name at a place on the line of fifths; `None` beyond 127 accidentals.
    #[must_use]
    pub fn from_fifths(fifths: i32) -> Option<Self> {
        let from_f = i64::from(fifths) + 1;
        // Four steps up is a fifth up, whatever the accidental; F is step 3.
        let letter = Letter::from_step((3 + 4 * from_f.rem_euclid(7)) as i32);
        let alter = i8::try_from(from_f.div_euclid(7)).ok()?;
        Some(Self::new(letter, alter))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter)?;
        write_accidentals(f, self.alter)
    }
}

/// Writes plain accidentals, or signs in the alternate form: `b`, `#`, `♭`, `♯`, `𝄫`, `𝄪`.
pub(crate) fn write_accidentals(f: &mut fmt::Formatter<'_>, alter: i8) -> fmt::Result {
    let (one, two) = match (f.alternate(), alter < 0) {
        (false, true) => ("b", "bb"),
        (false, false) => ("#", "##"),
        (true, true) => ("♭", "𝄫"),
        (true, false) => ("♯", "𝄪"),
    };
    let count = alter.unsigned_abs();
    for _ in 0..count / 2 {
        f.write_str(two)?;
    }
    if count % 2 == 1 {
        f.write_str(one)?;
    }
    Ok(())
}

/// Reads a letter and its accidentals; leaves the rest. `None` when there is no letter or there are
/// more than three accidentals.
pub(crate) fn read_name(chars: &mut Peekable<Chars<'_>>) -> Option<NoteName> {
    let letter = Letter::from_char(chars.next()?)?;
    let mut alter = 0_i8;
    while let Some(by) = chars.peek().and_then(|c| accidental(*c)) {
        chars.next();
        alter += by;
        if alter.abs() > MOST_ACCIDENTALS {
            return None;
        }
    }
    Some(NoteName::new(letter, alter))
}

fn accidental(c: char) -> Option<i8> {
    match c {
        'b' | '♭' => Some(-1),
        '#' | '♯' => Some(1),
        '𝄫' => Some(-2),
        'x' | '𝄪' => Some(2),
        '♮' => Some(0),
        _ => None,
    }
}

/// Why a text is not a note name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not a note name: write a letter A-G, then b or # if any, as in Bb or F#")]
pub struct ParseNameError {
    text: String,
}

impl FromStr for NoteName {
    type Err = ParseNameError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let mut chars = text.trim().chars().peekable();
        match read_name(&mut chars) {
            Some(name) if chars.next().is_none() => Ok(name),
            _ => Err(ParseNameError {
                text: shortened(text),
            }),
        }
    }
}

/// Enough of a text to recognise it in an error.
pub(crate) fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}

impl Serialize for NoteName {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for NoteName {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}
