//! Load: what a note asks of the lip, and the one table that says so.
//!
//! The load of a note is its sounding time weighted by an estimate of relative blowing pressure,
//! 1 for the home note at mf; so a load of 60 is one minute of the home note at mf.
//!
//! | factor | value | why |
//! | --- | --- | --- |
//! | register | frequency over that of the home note | threshold blowing pressure is about proportional to the frequency of the note (Fletcher & Tarnopolsky, J. Acoust. Soc. Am. 105 (1999) 874) |
//! | below home | never under 0.5 | low notes still ask for air and support; common practice, no source |
//! | loudness | 2^(5/15) = 1.26 a dynamic step | sound level rises about 15 dB per doubling of pressure (the same paper); a dynamic step taken as 5 dB is common practice, no source |
//!
//! It is a guide for planning, not a medical measure.

use crate::part::{Dynamic, Ticks};

/// Sound level of one dynamic step, dB. Common practice, no source.
pub const DYNAMIC_STEP_DB: f64 = 5.0;
/// Rise of level per doubling of blowing pressure, dB (Fletcher & Tarnopolsky 1999).
pub const DB_PER_PRESSURE_DOUBLING: f64 = 15.0;
/// Least register factor, however low the note. Common practice, no source.
pub const LEAST_REGISTER: f64 = 0.5;

/// Load weight of one second of a note.
///
/// `above_home` is in semitones from the home partial of the open tube.
///
/// ```
/// use routine::{load::weight, part::Dynamic};
/// assert_eq!(weight(0, Dynamic::Mf), 1.0);
/// assert_eq!(weight(12, Dynamic::Mf), 2.0);
/// assert!((weight(0, Dynamic::F) - 1.26).abs() < 0.001);
/// ```
#[must_use]
pub fn weight(above_home: i32, dynamic: Dynamic) -> f64 {
    let register = (f64::from(above_home) / 12.0).exp2().max(LEAST_REGISTER);
    let steps = f64::from(dynamic as i32 - Dynamic::Mf as i32);
    register * (steps * DYNAMIC_STEP_DB / DB_PER_PRESSURE_DOUBLING).exp2()
}

/// Load of a note: its weight times its seconds.
#[must_use]
pub fn of_note(above_home: i32, dynamic: Dynamic, duration: Ticks, tempo: f64) -> f64 {
    weight(above_home, dynamic) * duration.seconds(tempo)
}
