//! Score-informed hearing: which expected note sounds at every moment.
//!
//! A hidden Markov model over the expected lines (Rabiner, Proc. IEEE 77 (1989) 257): each note
//! has a sounding state, a stop after it and a state for something else in its place; a hub lets
//! the player start a line again, skip one or stop anywhere. Time is free: there are no durations,
//! only costs for going on.

mod back;
pub mod model;
pub mod observe;
pub mod swing;
pub mod viterbi;

pub use back::{Back, Segment, decode};
pub use model::{Model, State};
pub use observe::{Observation, Observer};
pub use swing::{Swing, swings};
pub use viterbi::Decoder;
