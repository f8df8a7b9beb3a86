//! A figure and its rules, carried through every length of the tube for a player. No I/O.
//!
//! The way of the data: a file ([`mod@file`]) is read into an [`exercise::Exercise`]; [`expand()`]
//! carries it through the tube for a [`player::Player`] with fingerings from [`fingering`]; the
//! result that every later room reads is a [`Part`].

pub mod class;
pub mod exercise;
pub mod expand;
pub mod file;
pub mod fingering;
pub mod level;
pub mod library;
pub mod load;
pub mod part;
pub mod playback;
pub mod player;
pub mod routine;
pub mod words;

pub use class::{Class, Member, expand_class, expand_class_routine};
pub use exercise::Exercise;
pub use expand::{ExpandError, Setup, expand};
pub use level::Levels;
pub use part::{Part, TICKS_PER_QUARTER, Ticks};
pub use playback::Playback;
pub use player::Player;
pub use routine::{Routine, expand_routine};
