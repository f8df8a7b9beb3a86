//! The chart of the bore model: for every note all lengths that reach it, with what each costs.
//!
//! The order is that of the trade, as on the ideal tube; the figures are the bore's.

mod chart;
mod pull;
mod support;

pub use chart::{ResonantChart, ResonantWay, chart};
pub use pull::Pull;
pub use support::{HARMONICS, support};
pub(crate) use support::{note_place, resonance_of};
