//! Bytes to samples: any usual file, any rate, any channels, with its faults reported as data.
//!
//! ```
//! use ear::input::{self, Options};
//!
//! let problem = input::from_bytes(b"dear teacher, here is my take", &Options::default());
//! assert!(problem.unwrap_err().to_string().contains("text"));
//! ```

mod clipping;
mod dc;
mod decode;
mod dropouts;
mod error;
mod faults;
mod hum;
mod mixdown;
mod resample;
mod source;

use std::io::{Read, Seek};

use serde::{Deserialize, Serialize};

pub use dc::DcBlocker;
pub use error::InputError;
pub use faults::{Fault, FaultKind};
pub use mixdown::{Mixdown, Mixing};
pub use resample::Resampler;
pub use source::{looks_like, rate_is_allowed};

use crate::Samples;

/// The rate that files are brought to: the whole band of hearing, and the rate that most takes
/// already have.
pub const WORKING_RATE: u32 = 44_100;
/// Lowest and highest rate of a file that is accepted, samples a second.
pub const RATES: (u32, u32) = (8_000, 192_000);
/// Most channels that a file may have.
pub const MOST_CHANNELS: usize = 32;
/// Longest take that is accepted unless asked otherwise, seconds.
///
/// Half an hour is longer than any one exercise and keeps the samples under 320 MB; a caller with
/// less memory asks for less.
pub const LONGEST_S: f64 = 1_800.0;

/// How a file is to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// The file's extension without the dot, if it has one: only a hint, the content decides.
    pub extension: Option<String>,
    /// The rate that the samples are brought to.
    pub rate: u32,
    /// Whether a file of a lower rate keeps its own: `rate` is then the highest that is given.
    pub keep_lower: bool,
    /// The longest take to accept, seconds.
    pub longest_s: f64,
    /// The rate that the sender says the sound has, when it said so apart from the file: a
    /// difference is reported as a fault.
    pub said_rate: Option<u32>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            extension: None,
            rate: WORKING_RATE,
            keep_lower: false,
            longest_s: LONGEST_S,
            said_rate: None,
        }
    }
}

impl Options {
    /// The rate that the samples of a file of `own` samples a second are given at.
    #[must_use]
    pub fn rate_of(&self, own: u32) -> u32 {
        if self.keep_lower {
            own.min(self.rate)
        } else {
            self.rate
        }
    }
}

/// What the file was.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// Container, such as `wave`.
    pub container: String,
    /// Coding of the samples, such as `flac`.
    pub coding: String,
    /// Samples a second in the file.
    pub rate: u32,
    /// Channels in the file.
    pub channels: usize,
    /// Length, seconds.
    pub seconds: f64,
    /// How the channels became one.
    pub mixing: Mixing,
    /// Highest sample of any channel, dB against full scale.
    pub peak_db: f64,
    /// Mean of the samples before it was taken away, share of full scale.
    pub dc: f64,
}

/// A take that was read.
#[derive(Clone, Debug)]
pub struct Input {
    /// The samples, mono, without DC, at the rate asked for.
    pub samples: Samples,
    /// What the file was.
    pub source: Source,
    /// What is wrong with the recording, worst first.
    pub faults: Vec<Fault>,
}

/// Reads a take from bytes in memory.
///
/// # Errors
/// [`InputError`] when the bytes are no sound that can be read; faults of a sound that can be
/// read are in [`Input::faults`].
pub fn from_bytes(bytes: &[u8], options: &Options) -> Result<Input, InputError> {
    read(std::io::Cursor::new(bytes), options)
}

/// Reads a take from an open file or anything that can seek. Decodes as it goes: beside the
/// samples of the result it holds at most 15 s of the channels.
///
/// # Errors
/// As [`from_bytes`], and [`InputError::Read`] when the source fails.
pub fn read<R: Read + Seek + Send + Sync>(
    source: R,
    options: &Options,
) -> Result<Input, InputError> {
    let source = source::Bytes::new(source)?;
    // The decoders are other people's code fed with anything at all: one that panics on a
    // damaged file must cost the caller this file only.
    let decoded = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        decode::decode(source, options)
    }));
    decoded.unwrap_or(Err(InputError::Damaged {
        at_s: 0.0,
        why: "the decoder gave up on it".into(),
    }))
}

#[cfg(test)]
mod tests;
