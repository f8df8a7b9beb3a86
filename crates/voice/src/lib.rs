//! A routine or a note as sound: drone, click, count-in, tones. No device I/O: gives samples.
//!
//! Everything is made of harmonics below half the sample rate, begins and ends in a raised cosine and
//! keeps its phase through slurs, so that nothing clicks and nothing folds back. The same input gives
//! the same samples.
//!
//! ```
//! use tone::Hertz;
//! use voice::{Dynamic, Rate, note};
//!
//! let audio = note(Hertz(233.08), 1.0, Dynamic::Mf, Rate::new(48_000)?)?;
//! assert_eq!(audio.samples.len(), 48_000);
//! let wav = voice::wav::encode(&audio, voice::wav::Depth::Sixteen)?;
//! assert_eq!(&wav[..4], b"RIFF");
//! # Ok::<(), voice::VoiceError>(())
//! ```

mod audio;
mod click;
mod drone;
mod error;
mod harmonics;
mod level;
mod part;
mod phrase;
mod timeline;
pub mod wav;

pub use audio::{Audio, Mark, Rate};
pub use click::click;
pub use drone::{Drone, Stack};
pub use error::VoiceError;
pub use level::level_dbfs;
pub use part::{Settings, part};
pub use phrase::note;
pub use routine::Playback;
pub use routine::part::Dynamic;
