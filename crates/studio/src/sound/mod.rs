//! Sound on the disk: the journal of a recording, FLAC files, and the vault that names them.

pub mod flac;
pub(crate) mod head;
pub mod journal;
pub mod recording;
pub(crate) mod vault;

/// Samples as they come from a decoder: channels interleaved, full scale 1.0.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// Samples a second.
    pub sample_rate: u32,
    /// Channels, 1 to 8.
    pub channels: u32,
    /// Interleaved samples.
    pub samples: Vec<f32>,
}
