//! Bore, valves or slide, air and lips: resonances, slots and the fingering chart. No I/O.
//!
//! Two depths: the ideal tube (integer partials, exact valve arithmetic; always available) and
//! the bore model. Both describe the tube by the same [`Length`]s.

pub mod chart;
pub mod instrument;

pub use chart::{Chart, Fingering, NoteKind};
pub use instrument::{Instrument, Length, LengthId, Reading, Stage};
