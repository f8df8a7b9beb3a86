//! Pitch of every moment: a coarse salience over a grid of pitches, a path through it, a fine fit.

pub mod fine;
pub(crate) mod gather;
pub mod grid;
mod lobes;
pub mod path;
pub mod phasor;
pub mod salience;
pub mod smooth;
pub mod track;

pub use fine::{Fine, FineFit};
pub use grid::Grid;
pub use salience::{Salience, SalienceFrame};
