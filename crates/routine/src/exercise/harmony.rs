//! Chords and scales, and the ladder of notes that a figure climbs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The harmony of an exercise: one by name, or a list of the user's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Harmony {
    /// A chord or scale that has a name.
    Named(HarmonyName),
    /// Semitones above the root, ascending from 0, within one octave.
    Own {
        /// For instance `[0, 3, 5, 6, 7, 10]`.
        semitones: Vec<u8>,
    },
}

macro_rules! harmonies {
    ($($variant:ident $name:literal $doc:literal $semitones:expr, $labels:expr, $key:expr;)*) => {
        /// A chord or scale by name.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
        pub enum HarmonyName {
            $(#[doc = $doc] #[serde(rename = $name)] $variant,)*
        }

        impl HarmonyName {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The name as it stands in a file.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),* }
            }

            const fn rows(self) -> (&'static [i32], &'static [i32], Option<i32>) {
                match self { $(Self::$variant => (&$semitones, &$labels, $key)),* }
            }
        }
    };
}

// Columns: semitones above the root; degrees of the scale they are; fifths from the root's major
// key to the key signature used (None: no signature).
harmonies! {
    MajorTriad "major-triad" "1 3 5." [0, 4, 7], [1, 3, 5], Some(0);
    MinorTriad "minor-triad" "1 flat 3 5." [0, 3, 7], [1, 3, 5], Some(-3);
    DiminishedTriad "diminished-triad" "1 flat 3 flat 5." [0, 3, 6], [1, 3, 5], Some(-5);
    AugmentedTriad "augmented-triad" "1 3 sharp 5." [0, 4, 8], [1, 3, 5], Some(0);
    MajorSeventh "major-seventh" "1 3 5 7." [0, 4, 7, 11], [1, 3, 5, 7], Some(0);
    DominantSeventh "dominant-seventh" "1 3 5 flat 7." [0, 4, 7, 10], [1, 3, 5, 7], Some(-1);
    MinorSeventh "minor-seventh" "1 flat 3 5 flat 7." [0, 3, 7, 10], [1, 3, 5, 7], Some(-3);
    HalfDiminished "half-diminished-seventh" "1 flat 3 flat 5 flat 7." [0, 3, 6, 10], [1, 3, 5, 7], Some(-5);
    DiminishedSeventh "diminished-seventh" "Minor thirds." [0, 3, 6, 9], [1, 3, 5, 7], Some(-5);
    MajorScale "major-scale" "Ionian." [0, 2, 4, 5, 7, 9, 11], [1, 2, 3, 4, 5, 6, 7], Some(0);
    NaturalMinorScale "natural-minor-scale" "Aeolian." [0, 2, 3, 5, 7, 8, 10], [1, 2, 3, 4, 5, 6, 7], Some(-3);
    HarmonicMinorScale "harmonic-minor-scale" "Minor with a raised seventh." [0, 2, 3, 5, 7, 8, 11], [1, 2, 3, 4, 5, 6, 7], Some(-3);
    MelodicMinorScale "melodic-minor-scale" "The ascending form, both ways." [0, 2, 3, 5, 7, 9, 11], [1, 2, 3, 4, 5, 6, 7], Some(-3);
    Dorian "dorian" "Minor with a raised sixth." [0, 2, 3, 5, 7, 9, 10], [1, 2, 3, 4, 5, 6, 7], Some(-2);
    Phrygian "phrygian" "Minor with a lowered second." [0, 1, 3, 5, 7, 8, 10], [1, 2, 3, 4, 5, 6, 7], Some(-4);
    Lydian "lydian" "Major with a raised fourth." [0, 2, 4, 6, 7, 9, 11], [1, 2, 3, 4, 5, 6, 7], Some(1);
    Mixolydian "mixolydian" "Major with a lowered seventh." [0, 2, 4, 5, 7, 9, 10], [1, 2, 3, 4, 5, 6, 7], Some(-1);
    Locrian "locrian" "Phrygian with a lowered fifth." [0, 1, 3, 5, 6, 8, 10], [1, 2, 3, 4, 5, 6, 7], Some(-5);
    MajorPentatonic "major-pentatonic" "1 2 3 5 6." [0, 2, 4, 7, 9], [1, 2, 3, 5, 6], Some(0);
    MinorPentatonic "minor-pentatonic" "1 flat 3 4 5 flat 7." [0, 3, 5, 7, 10], [1, 3, 4, 5, 7], Some(-3);
    Chromatic "chromatic" "All twelve; degrees count semitones from 1." [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11], [], None;
    WholeTone "whole-tone" "Six whole tones; degrees count them from 1." [0, 2, 4, 6, 8, 10], [], None;
}

/// The notes of a harmony as rungs, going on through the octaves both ways.
///
/// ```
/// use routine::exercise::{Harmony, HarmonyName};
/// let ladder = Harmony::Named(HarmonyName::MajorTriad).ladder();
/// let top = ladder.rung_of_degree(8).unwrap();
/// assert_eq!((top, ladder.semitones(top)), (3, 12));
/// assert_eq!(ladder.rung_of_degree(2), None);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ladder {
    semitones: Vec<i32>,
    /// Scale degrees of the rungs; empty when degrees simply count the rungs.
    labels: Vec<i32>,
    /// Fifths from the root's major key to the signature; `None` for no signature.
    pub key: Option<i32>,
}

impl Harmony {
    /// The rungs of this harmony. A list that is not ascending from 0 within the octave gives an
    /// empty ladder ([`Exercise::problems`](super::Exercise::problems) reports it).
    #[must_use]
    pub fn ladder(&self) -> Ladder {
        match self {
            Self::Named(name) => {
                let (semitones, labels, key) = name.rows();
                Ladder {
                    semitones: semitones.to_vec(),
                    labels: labels.to_vec(),
                    key,
                }
            }
            Self::Own { semitones } => {
                let good = semitones.first() == Some(&0)
                    && semitones.windows(2).all(|w| w[0] < w[1])
                    && semitones.last().is_some_and(|&s| s < 12);
                Ladder {
                    semitones: if good {
                        semitones.iter().map(|&s| i32::from(s)).collect()
                    } else {
                        Vec::new()
                    },
                    labels: Vec::new(),
                    key: None,
                }
            }
        }
    }

    /// The name for people.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Named(name) => name.name().replace('-', " "),
            Self::Own { .. } => "the notes of its own list".to_owned(),
        }
    }
}

impl Ladder {
    /// Rungs in an octave.
    #[must_use]
    pub fn size(&self) -> i32 {
        self.semitones.len() as i32
    }

    /// Semitones of a rung above the root (rung 0), also below it; 0 on an empty ladder.
    #[must_use]
    pub fn semitones(&self, rung: i32) -> i32 {
        if self.semitones.is_empty() {
            return 0;
        }
        let within = rung.rem_euclid(self.size()) as usize;
        self.semitones.get(within).copied().unwrap_or(0) + 12 * rung.div_euclid(self.size())
    }

    /// Staff steps of a rung above the root; `None` when the harmony has no spelling of its own.
    #[must_use]
    pub fn steps(&self, rung: i32) -> Option<i32> {
        if self.labels.is_empty() {
            return None;
        }
        let within = rung.rem_euclid(self.size()) as usize;
        Some(self.labels.get(within)? - 1 + 7 * rung.div_euclid(self.size()))
    }

    /// The rung of a degree as musicians count: 1 is the root, 8 the octave of a seven-note scale,
    /// -4 the fourth below. `None` when the harmony has no such degree, and for 0.
    #[must_use]
    pub fn rung_of_degree(&self, degree: i32) -> Option<i32> {
        let place = match degree {
            0 => return None,
            d if d > 0 => d - 1,
            d => d + 1,
        };
        if self.semitones.is_empty() {
            return None;
        }
        if self.labels.is_empty() {
            return Some(place);
        }
        let label = place.rem_euclid(7) + 1;
        let within = self.labels.iter().position(|&l| l == label)? as i32;
        Some(within + self.size() * place.div_euclid(7))
    }

    /// The rung that lies this many semitones above the root, if one does.
    #[must_use]
    pub fn rung_of_semitones(&self, semitones: i32) -> Option<i32> {
        let within = semitones.rem_euclid(12);
        let rung = self.semitones.iter().position(|&s| s == within)? as i32;
        Some(rung + self.size() * semitones.div_euclid(12))
    }

    /// The degrees of one octave, for messages.
    #[must_use]
    pub fn degrees(&self) -> Vec<i32> {
        if self.labels.is_empty() {
            (1..=self.size()).collect()
        } else {
            self.labels.clone()
        }
    }
}
