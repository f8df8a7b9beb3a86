//! Pitch, spelling, transposition, clefs and tunings. No I/O; knows nothing of brass.
//!
//! Sounding and written pitches have types of their own ([`Sounding`], [`Written`]); only a
//! [`Transposition`] turns one into the other.

mod clef;
mod interval;
mod key;
mod pitch;
mod transposition;
mod tuning;
mod units;

pub use clef::Clef;
pub use interval::Interval;
pub use key::KeySignature;
pub use pitch::{Letter, ParsePitchError, Pitch, Sounding, Written};
pub use transposition::Transposition;
pub use tuning::{Temperament, Tuning};
pub use units::{Cents, Hertz};
