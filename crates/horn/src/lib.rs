//! Bore, valves or slide, air and lips: resonances, slots and the fingering chart. No I/O.
//!
//! Two depths: the ideal tube (integer partials, exact valve arithmetic; always available) and
//! the bore model ([`acoustics::Setup`]). Both describe the tube by the same [`Length`]s.

pub mod acoustics;
pub mod air;
pub mod bore;
pub mod calibrate;
pub mod catalog;
pub mod chart;
pub mod compare;
pub mod ideal;
pub mod impedance;
pub mod instrument;
pub mod lips;
pub mod mechanism;
pub mod picture;
pub mod resonant;
mod solve;

pub use acoustics::{AcousticError, Setup};
pub use air::Air;
pub use catalog::{CatalogError, catalog};
pub use chart::{Backing, Chart, Fingering, NoteKind, Throw};
pub use instrument::{Instrument, Length, LengthId, Practice, Reading, Stage};
pub use mechanism::Mechanism;
