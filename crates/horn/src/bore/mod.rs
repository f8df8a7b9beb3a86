//! The bore as data: sections, mouthpiece, valve loops and slides; and the tube they make.
//!
//! A [`Bore`] is what a maker would draw; a [`Tube`] is one state of it (valves down, slides out),
//! cut into cones from the lips to the bell.

mod check;
mod error;
mod file;
mod generic;
mod mouthpiece;
mod profile;
mod section;
mod state;
mod tube;

pub use error::{BoreError, Problem};
pub use file::{Bore, Fit, Free, HandSlide, Loop, Slide};
pub use generic::{
    generic_bore, generic_bore_ids, generic_bore_source, generic_leadpipe, generic_leadpipe_ids,
    generic_mouthpiece, generic_mouthpiece_ids, generic_mouthpiece_source,
};
pub use mouthpiece::Mouthpiece;
pub use section::{Section, Shape};
pub use state::State;
pub use tube::{Cone, Part, Tube};
