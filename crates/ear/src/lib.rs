//! Sound against what was to be played: notes, slurs, attacks, releases, tone, findings. No I/O.

pub mod analysis;
pub mod decode;
pub mod expected;
pub mod findings;
pub mod free;
pub mod hear;
pub mod heard;
pub mod input;
pub mod level;
pub mod live;
pub mod measure;
pub mod measured;
pub mod pitch;
pub mod report;
pub mod room;
pub mod samples;
pub mod scored;
pub mod signal;
pub mod slur;
pub mod thresholds;
pub mod verdict;

pub use expected::{Expected, ExpectedLine, ExpectedNote, TubePartial};
pub use hear::{Settings, hear};
pub use heard::{Caught, Frame, Heard, HeardNote, HeardSlur, Match, Place, Track};
pub use measured::{Measure, WhyNot};
pub use samples::Samples;
