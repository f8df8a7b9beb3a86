//! The library: exercises of our own in eight families, written for this project.

use std::sync::OnceLock;

use crate::exercise::{Exercise, Family};
use crate::routine::Routine;

macro_rules! library {
    ($($id:literal)*) => {
        /// Id and text of every file of the library, in the order of a session.
        pub const SOURCES: &[(&str, &str)] = &[
            $(($id, include_str!(concat!("../library/", $id, ".toml"))),)*
        ];
    };
}

library! {
    "long-notes-home"
    "long-notes-three-shades"
    "long-notes-lean"
    "long-notes-fifth-over-drone"
    "long-notes-triad-still"
    "long-notes-drawn-keys"
    "natural-slurs-two-low"
    "natural-slurs-two-middle"
    "natural-slurs-three"
    "natural-slurs-full-ladder"
    "natural-slurs-skips"
    "natural-slurs-turning"
    "natural-slurs-to-eighth"
    "arpeggios-one-roof-major"
    "arpeggios-one-roof-minor"
    "arpeggios-one-chord-longer"
    "arpeggios-dominant-seventh"
    "arpeggios-diminished"
    "arpeggios-augmented"
    "arpeggios-moving-roof"
    "arpeggios-round-the-fifths"
    "intervals-octave-then-climb"
    "intervals-opening-fan"
    "intervals-closing-fan"
    "intervals-tenths"
    "intervals-sixths-in-scale"
    "intervals-fourths-chain"
    "scales-major-octave"
    "scales-major-to-roof"
    "scales-thirds"
    "scales-fours"
    "scales-harmonic-minor"
    "scales-modes-mixolydian"
    "scales-chromatic-span"
    "scales-whole-tone"
    "articulation-even-tongue"
    "articulation-slur-two-tongue-two"
    "articulation-short-triads"
    "articulation-dotted"
    "articulation-first-notes"
    "articulation-three-three-two"
    "range-chromatic-up"
    "range-scale-five-up"
    "range-down-to-the-floor"
    "range-pedals-by-semitone"
    "range-octaves-to-pedal"
    "range-both-ends"
    "cool-down-falling-fifths"
    "cool-down-low-slurs"
    "cool-down-chromatic-sigh"
    "cool-down-long-low"
    "cool-down-soft-thirds"
}

/// All exercises, in the order of a session.
///
/// ```
/// use routine::{exercise::Family, library};
/// assert!(library::exercises().len() >= 40);
/// assert!(library::family(Family::CoolDown).count() >= 5);
/// assert!(library::find("arpeggios-one-roof-major").is_some());
/// ```
#[must_use]
pub fn exercises() -> &'static [Exercise] {
    static LIBRARY: OnceLock<Vec<Exercise>> = OnceLock::new();
    // A file of the library that cannot be read fails the tests; here it would only be missing.
    LIBRARY.get_or_init(|| {
        SOURCES
            .iter()
            .filter_map(|(_, text)| crate::file::read_exercise(text).value)
            .collect()
    })
}

/// The exercise with this id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Exercise> {
    exercises().iter().find(|exercise| exercise.id == id)
}

/// The exercises of one family.
pub fn family(family: Family) -> impl Iterator<Item = &'static Exercise> {
    exercises()
        .iter()
        .filter(move |exercise| exercise.family == family)
}

/// The text of the file with this id, to copy and change.
#[must_use]
pub fn source(id: &str) -> Option<&'static str> {
    SOURCES
        .iter()
        .find(|(own, _)| *own == id)
        .map(|(_, text)| *text)
}

/// Id and text of the day plans that come with the program.
pub const ROUTINE_SOURCES: &[(&str, &str)] = &[
    (
        "first-quarter-hour",
        include_str!("../routines/first-quarter-hour.toml"),
    ),
    ("half-hour", include_str!("../routines/half-hour.toml")),
    ("full-hour", include_str!("../routines/full-hour.toml")),
    ("easy-day", include_str!("../routines/easy-day.toml")),
];

/// The day plans that come with the program.
#[must_use]
pub fn routines() -> &'static [Routine] {
    static ROUTINES: OnceLock<Vec<Routine>> = OnceLock::new();
    ROUTINES.get_or_init(|| {
        ROUTINE_SOURCES
            .iter()
            .filter_map(|(_, text)| crate::file::read_routine(text).value)
            .collect()
    })
}
