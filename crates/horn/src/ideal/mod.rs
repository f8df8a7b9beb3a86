//! The ideal tube: partials at whole multiples of the fundamental, lengths exact.

mod chart;
mod rank;

pub use chart::chart;
