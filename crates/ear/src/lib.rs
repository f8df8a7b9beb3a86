//! Sound against what was to be played: notes, slurs, attacks, releases, tone, findings. No I/O.

pub mod expected;
pub mod findings;
pub mod heard;
pub mod input;
pub mod level;
pub mod measure;
pub mod measured;
pub mod report;
pub mod room;
pub mod samples;
pub mod verdict;

pub use expected::{Expected, ExpectedLine, ExpectedNote, TubePartial};
pub use heard::{Caught, Frame, Heard, HeardNote, HeardSlur, Match, Place, Track};
pub use measured::{Measure, WhyNot};
pub use samples::Samples;
