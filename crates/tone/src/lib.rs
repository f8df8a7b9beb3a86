//! Pitch, spelling, transposition, clefs and tunings. No I/O; knows nothing of brass.
//!
//! Sounding and written pitches have types of their own ([`Sounding`], [`Written`]); only a
//! [`Transposition`] turns one into the other.
//!
//! ```
//! use tone::{Interval, Transposition, Tuning, Written};
//!
//! // A B-flat instrument reads C5; what sounds, and at which frequency?
//! let b_flat = Transposition(Interval::new(-1, -2));
//! let sounding = b_flat.sounding("C5".parse::<Written>()?);
//! assert_eq!(sounding.to_string(), "Bb4");
//! assert!((Tuning::default().frequency(sounding).0 - 466.16).abs() < 0.01);
//! # Ok::<(), tone::ParsePitchError>(())
//! ```

mod clef;
mod interval;
mod interval_name;
mod key;
mod kind;
mod language;
mod letter;
mod name;
mod pitch;
mod table;
mod temperament;
mod transposition;
mod tuning;
mod units;

pub use clef::{Clef, StaffPosition};
pub use interval::Interval;
pub use interval_name::{ParseIntervalError, Quality};
pub use key::{Key, KeySignature, Mode, ParseKeyError};
pub use kind::{Sounding, Written};
pub use language::Language;
pub use letter::Letter;
pub use name::{NoteName, ParseNameError};
pub use pitch::{ParsePitchError, Pitch};
pub use table::{PitchRow, pitch_table};
pub use temperament::{JUST, ParseTemperamentError, Temperament};
pub use transposition::Transposition;
pub use tuning::{A4_HIGHEST, A4_LOWEST, Nearest, Tuning, TuningError};
pub use units::{Cents, Hertz};
