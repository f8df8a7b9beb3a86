//! Changes of pitch in a hall, where what the room still holds of every note is louder than the player.
//!
//! There a note's end and the next one's beginning hardly show in any level. They show in how the sound
//! goes on: the echo of a tone that sounds gathers new reflections all the time, that of one that has ended
//! only loses them, and the player's own sound breaks off. All three are Gaussian processes whose covariance is
//! known, so that a change has an exact likelihood.

mod bands;
mod cholesky;
mod echo;
mod field;
mod ground;
mod heard;
mod passage;
mod process;
mod search;
mod sung;

pub use bands::Grain;
pub use field::Field;
pub use heard::{between_notes, hidden_in_last};
pub use passage::{Known, Passage, Past, Stretch};
pub use search::fit;
