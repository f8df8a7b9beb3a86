//! Spelled pitches with an octave.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::name::{read_name, shortened, write_accidentals};
use crate::{KeySignature, Letter, NoteName};

/// Octaves that a text may ask for; wide enough for any sound, and far from overflow.
const OCTAVES: std::ops::RangeInclusive<i8> = -2..=12;

/// A spelled pitch in scientific octave numbering: C4 is middle C (MIDI key 60).
///
/// Reads and prints plain (`Bb4`); the alternate form prints signs (`{:#}` gives `B♭4`).
///
/// ```
/// use tone::Pitch;
///
/// let pitch: Pitch = "B♭4".parse()?;
/// assert_eq!(pitch.midi(), 70);
/// assert_eq!(pitch.to_string(), "Bb4");
/// assert!("H4".parse::<Pitch>().is_err());
/// # Ok::<(), tone::ParsePitchError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// The letter name.
    pub letter: Letter,
    /// Semitones of accidental: -1 flat, +1 sharp; at most 3 either way when parsed.
    pub alter: i8,
    /// Octave number; a B sharp keeps the octave of its letter.
    pub octave: i8,
}

impl Pitch {
    /// A pitch from its three parts.
    #[must_use]
    pub const fn new(letter: Letter, alter: i8, octave: i8) -> Self {
        Self {
            letter,
            alter,
            octave,
        }
    }

    /// The pitch without its octave.
    #[must_use]
    pub const fn name(self) -> NoteName {
        NoteName::new(self.letter, self.alter)
    }

    /// MIDI key number: C4 is 60. Negative below C-1.
    #[must_use]
    pub const fn midi(self) -> i32 {
        (self.octave as i32 + 1) * 12 + self.letter.semitones() + self.alter as i32
    }

    /// Staff step: C0 is 0, D0 is 1, C1 is 7.
    #[must_use]
    pub const fn staff_step(self) -> i32 {
        self.octave as i32 * 7 + self.letter as i32
    }

    /// The pitch with this staff step that sounds as this MIDI key; the accidental is whatever is
    /// left. Octave and accidental stop at the ends of `i8`, far outside anything that sounds.
    #[must_use]
    pub fn from_step_and_midi(staff_step: i32, midi: i32) -> Self {
        let letter = Letter::from_step(staff_step);
        let octave = saturated(i64::from(staff_step.div_euclid(7)));
        let natural = Self::new(letter, 0, octave).midi();
        Self::new(
            letter,
            saturated(i64::from(midi) - i64::from(natural)),
            octave,
        )
    }

    /// The usual spelling of a MIDI key without a key signature: C sharp, E flat, F sharp, A flat,
    /// B flat.
    ///
    /// (The commonest spelling in brass parts; common practice, no source.)
    ///
    /// ```
    /// assert_eq!(tone::Pitch::from_midi(58).to_string(), "Bb3");
    /// ```
    #[must_use]
    pub fn from_midi(midi: i32) -> Self {
        Self::spelled(midi, KeySignature::default())
    }

    /// The spelling of a MIDI key under a key signature: the note of the scale if it is one, else
    /// the nearest on the line of fifths, four to the flat side of the tonic to seven to the sharp
    /// side; never a double accidental.
    ///
    /// ```
    /// use tone::{KeySignature, Pitch};
    ///
    /// assert_eq!(Pitch::spelled(66, KeySignature(-6)).to_string(), "Gb4");
    /// assert_eq!(Pitch::spelled(66, KeySignature(3)).to_string(), "F#4");
    /// ```
    #[must_use]
    pub fn spelled(midi: i32, key: KeySignature) -> Self {
        /// The twelve places run from here, relative to the major tonic.
        const FLATTEST: i32 = -4;
        // A semitone up is seven fifths up, twelve fifths are a turn.
        let class = midi.rem_euclid(12);
        let start = i32::from(key.0) + FLATTEST;
        let fifths = start + (7 * class - start).rem_euclid(12);
        let at = |name: NoteName| {
            let natural = i64::from(midi) - i64::from(name.alter);
            Self::new(
                name.letter,
                name.alter,
                saturated(natural.div_euclid(12) - 1),
            )
        };
        [fifths, fifths - 12, fifths + 12]
            .into_iter()
            .filter_map(NoteName::from_fifths)
            .find(|name| name.alter.abs() <= 1)
            // Only a signature far outside -7..=7 has none of these.
            .map_or_else(|| Self::from_midi(midi), at)
    }
}

fn saturated(value: i64) -> i8 {
    value.clamp(i64::from(i8::MIN), i64::from(i8::MAX)) as i8
}

impl fmt::Display for Pitch {
    /// Plain ASCII: `Bb4`, `F#3`, `C##5`; the alternate form has signs: `B♭4`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter)?;
        write_accidentals(f, self.alter)?;
        write!(f, "{}", self.octave)
    }
}

/// Why a text is not a pitch.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not a pitch: write a letter A-G, then b or # if any, then the octave (-2 to 12), as in Bb4 or F#3"
)]
pub struct ParsePitchError {
    text: String,
}

impl FromStr for Pitch {
    type Err = ParsePitchError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let fail = || ParsePitchError {
            text: shortened(text),
        };
        let mut chars = text.trim().chars().peekable();
        let name = read_name(&mut chars).ok_or_else(fail)?;
        let octave: String = chars.map(|c| if c == '−' { '-' } else { c }).collect();
        let octave: i8 = octave.parse().map_err(|_| fail())?;
        if !OCTAVES.contains(&octave) {
            return Err(fail());
        }
        Ok(Self::new(name.letter, name.alter, octave))
    }
}

impl Serialize for Pitch {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Pitch {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}
