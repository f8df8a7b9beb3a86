//! At which frequency each note of a part is played.

use serde::{Deserialize, Serialize};
use tone::{Cents, Hertz, Sounding, Temperament, Tuning};

use crate::part::{Line, Note};

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

    /// How far a note of a line lies from its key in equal temperament at A4 = 440 Hz.
    ///
    /// ```
    /// use routine::{Levels, Player, Playback, expand, library};
    /// use tone::{Hertz, Tuning};
    /// let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    /// let chart = horn::ideal::chart(trumpet, &Tuning::default());
    /// let exercise = library::find("arpeggios-one-roof-major").unwrap();
    /// let part =
    ///     expand(exercise, &Player::named(""), trumpet, &chart, &Levels::standard(), 0).unwrap();
    /// let line = &part.lines[0];
    /// let root = line.notes().next().unwrap();
    /// assert_eq!(Playback::default().offset(line, root).0, 0.0);
    /// let sharp = Playback::OverRoot { a4: Hertz(441.0) };
    /// assert!((sharp.offset(line, root).0 - 3.93).abs() < 0.01);
    /// ```
    #[must_use]
    pub fn offset(&self, line: &Line, note: &Note) -> Cents {
        let equal = Tuning::default().equal(note.sounding.midi());
        self.frequency(line, note).cents_above(equal)
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
