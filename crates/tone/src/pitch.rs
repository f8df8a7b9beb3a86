//! Spelled pitches, and the two kinds that must never mix: written and sounding.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A letter name, C lowest within the octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Letter {
    /// C
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
    /// G
    G,
    /// A
    A,
    /// B
    B,
}

impl Letter {
    /// All letters from C up.
    pub const ALL: [Self; 7] = [
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::A,
        Self::B,
    ];

    /// Semitones above C within the octave.
    #[must_use]
    pub const fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }
}

/// A spelled pitch in scientific octave numbering: C4 is middle C (MIDI key 60).
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

    /// The pitch with this staff step that sounds as this MIDI key; the accidental is whatever is left.
    #[must_use]
    pub fn from_step_and_midi(staff_step: i32, midi: i32) -> Self {
        let letter = Letter::ALL[staff_step.rem_euclid(7) as usize];
        let octave = staff_step.div_euclid(7) as i8;
        let natural = Self::new(letter, 0, octave).midi();
        Self::new(letter, (midi - natural) as i8, octave)
    }

    /// The usual spelling of a MIDI key: sharps for C, F and G, flats for E, A and B.
    ///
    /// (The commonest spelling in brass parts; common practice, no source.)
    #[must_use]
    pub fn from_midi(midi: i32) -> Self {
        const STEP: [(usize, i8); 12] = [
            (0, 0),
            (0, 1),
            (1, 0),
            (2, -1),
            (2, 0),
            (3, 0),
            (3, 1),
            (4, 0),
            (5, -1),
            (5, 0),
            (6, -1),
            (6, 0),
        ];
        let (letter, alter) = STEP[midi.rem_euclid(12) as usize];
        Self::new(Letter::ALL[letter], alter, (midi.div_euclid(12) - 1) as i8)
    }
}

impl fmt::Display for Pitch {
    /// Plain ASCII: `Bb4`, `F#3`, `C##5`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.letter)?;
        for _ in 0..self.alter.unsigned_abs() {
            f.write_str(if self.alter < 0 { "b" } else { "#" })?;
        }
        write!(f, "{}", self.octave)
    }
}

/// Why a text is not a pitch.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not a pitch: write a letter A-G, then b or # if any, then the octave, as in Bb4 or F#3"
)]
pub struct ParsePitchError {
    text: String,
}

impl FromStr for Pitch {
    type Err = ParsePitchError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let fail = || ParsePitchError {
            text: text.chars().take(40).collect(),
        };
        let mut chars = text.trim().chars().peekable();
        let letter = match chars.next().map(|c| c.to_ascii_uppercase()) {
            Some('C') => Letter::C,
            Some('D') => Letter::D,
            Some('E') => Letter::E,
            Some('F') => Letter::F,
            Some('G') => Letter::G,
            Some('A') => Letter::A,
            Some('B') => Letter::B,
            _ => return Err(fail()),
        };
        let mut alter = 0_i8;
        while let Some(step) = chars.peek().and_then(|c| match c {
            'b' | '♭' => Some(-1),
            '#' | '♯' => Some(1),
            _ => None,
        }) {
            alter += step;
            chars.next();
            if alter.abs() > 3 {
                return Err(fail());
            }
        }
        let octave: i8 = chars.collect::<String>().parse().map_err(|_| fail())?;
        if !(-2..=12).contains(&octave) {
            return Err(fail());
        }
        Ok(Self::new(letter, alter, octave))
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
