//! The ideal tube: partials at whole multiples of the fundamental, lengths exact.

mod chart;
mod least_squares;
pub mod optimum;
mod rank;

pub use chart::chart;
