//! Sound against what was to be played: notes, slurs, attacks, releases, tone, findings. No I/O.

pub mod expected;
pub mod heard;
pub mod measured;
pub mod samples;

pub use expected::{Expected, ExpectedLine, ExpectedNote, TubePartial};
pub use heard::{Caught, Frame, Heard, HeardNote, HeardSlur, Match, Place, Track};
pub use measured::{Measure, WhyNot};
pub use samples::Samples;
