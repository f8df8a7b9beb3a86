//! The chart of the bore model: for every note all lengths that reach it, with what each costs.
//!
//! The order is that of the trade, as on the ideal tube; the figures are the bore's.

mod chart;
mod pull;
mod support;

pub use chart::{ResonantChart, ResonantWay, chart};
pub use pull::Pull;
pub(crate) use support::resonance_of;
pub use support::{HARMONICS, support};
