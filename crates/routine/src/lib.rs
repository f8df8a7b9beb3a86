//! A figure and its rules, carried through every length of the tube for a player. No I/O.
//!
//! The result that every later room reads is a [`Part`].

pub mod part;

pub use part::{Part, TICKS_PER_QUARTER, Ticks};
