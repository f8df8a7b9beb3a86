//! Sound as the bytes of a WAV file.

use std::io::Cursor;

use crate::{Audio, VoiceError};

/// How a sample is stored.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Depth {
    /// Whole numbers of 16 bits: for any player.
    #[default]
    Sixteen,
    /// Whole numbers of 24 bits.
    TwentyFour,
    /// Floating point of 32 bits: exactly the samples.
    Float,
}

/// The bytes of a mono WAV file.
///
/// # Errors
/// [`VoiceError::Wav`] when the file would be larger than the format allows (4 GiB).
pub fn encode(audio: &Audio, depth: Depth) -> Result<Vec<u8>, VoiceError> {
    let (bits_per_sample, sample_format) = match depth {
        Depth::Sixteen => (16, hound::SampleFormat::Int),
        Depth::TwentyFour => (24, hound::SampleFormat::Int),
        Depth::Float => (32, hound::SampleFormat::Float),
    };
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: audio.rate.per_second(),
        bits_per_sample,
        sample_format,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec)?;
    for &sample in &audio.samples {
        match depth {
            Depth::Float => writer.write_sample(sample)?,
            Depth::Sixteen => writer.write_sample(whole(sample, 16))?,
            Depth::TwentyFour => writer.write_sample(whole(sample, 24))?,
        }
    }
    writer.finalize()?;
    Ok(bytes.into_inner())
}

/// The nearest whole number of a sample at a bit depth.
fn whole(sample: f32, bits: i32) -> i32 {
    let full = f64::from((1_i32 << (bits - 1)) - 1);
    (f64::from(sample).clamp(-1.0, 1.0) * full).round() as i32
}
