//! At which frequency each note of a part is played.

use routine::part::{Line, Note};
use serde::{Deserialize, Serialize};
use tone::{Cents, Hertz, Sounding, Temperament, Tuning};

/// How a part is tuned when it is played back.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Playback {
    /// To one tuning throughout.
    To {
        /// The tuning.
        tuning: Tuning,
    },
    /// Just intervals over each line's root.
    OverRoot {
        /// Frequency of A4.
        a4: Hertz,
    },
    /// Where the tube puts each note with its fingering.
    AsTheTube {
        /// The tuning that the fingerings' cents are counted from.
        tuning: Tuning,
    },
}

impl Default for Playback {
    /// Equal temperament at A4 = 440 Hz.
    fn default() -> Self {
        Self::To {
            tuning: Tuning::default(),
        }
    }
}

impl Playback {
    /// The frequency of a note of a line.
    #[must_use]
    pub fn frequency(&self, line: &Line, note: &Note) -> Hertz {
        let frequency = self.tuning(line).frequency(note.sounding);
        match self {
            Self::AsTheTube { .. } => frequency.shifted(note.fingering.cents),
            Self::To { .. } | Self::OverRoot { .. } => frequency,
        }
    }

    /// The frequency of a line's root for a drone, brought into the octave from A2, and the fifth
    /// above it.
    #[must_use]
    pub fn root(&self, line: &Line) -> (Hertz, Cents) {
        const A2: i32 = 45;
        let key = A2 + (line.root.midi() - A2).rem_euclid(12);
        let tuning = self.tuning(line);
        let at = |midi| tuning.frequency(Sounding(tone::Pitch::from_midi(midi)));
        (at(key), at(key + 7).cents_above(at(key)))
    }

    fn tuning(&self, line: &Line) -> Tuning {
        match *self {
            Self::To { tuning } | Self::AsTheTube { tuning } => tuning,
            Self::OverRoot { a4 } => Tuning {
                a4,
                temperament: Temperament::Just {
                    root: line.root.0.name().pitch_class(),
                },
            },
        }
    }
}
