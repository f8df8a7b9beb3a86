//! Writes FLAC (RFC 9639) frame by frame, so that memory does not grow with the take.

use std::fs::File;
use std::io::{BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, Stream, StreamInfo};
use flacenc::config;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Context, Fill, FrameBuf};

use crate::{Error, Result};

/// Samples of each channel in a frame: what the reference encoder uses at its default level.
const BLOCK: usize = 4096;

/// How finely samples are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// 16 bits, for sources that have no more.
    Sixteen,
    /// 24 bits: below the noise of any microphone.
    TwentyFour,
}

impl Depth {
    /// Bits in a sample.
    #[must_use]
    pub const fn bits(self) -> u32 {
        match self {
            Self::Sixteen => 16,
            Self::TwentyFour => 24,
        }
    }

    /// The whole number nearest a sample of full scale 1.0; beyond full scale and for what is not
    /// a number, the nearest that fits.
    #[must_use]
    pub fn quantize(self, sample: f32) -> i32 {
        let scale = f64::from(1_u32 << (self.bits() - 1));
        // A float-to-int cast saturates and turns NaN into 0 (Rust reference, type cast
        // expressions); the clamp keeps it within the depth.
        (f64::from(sample) * scale)
            .round()
            .clamp(-scale, scale - 1.0) as i32
    }

    /// The coarsest depth that keeps all these samples exactly, or 24 bits.
    #[must_use]
    pub fn fitting(samples: &[f32]) -> Self {
        let whole = |sample: &f32| (f64::from(*sample) * 32_768.0).fract() == 0.0;
        if samples.iter().all(whole) {
            Self::Sixteen
        } else {
            Self::TwentyFour
        }
    }
}

/// Highest rate that is kept, samples a second: the encoder's own limit.
pub const MOST_RATE: u32 = 96_000;

/// A FLAC file being written.
pub struct FlacWriter {
    path: PathBuf,
    file: BufWriter<File>,
    config: Verified<config::Encoder>,
    info: StreamInfo,
    context: Context,
    frame: FrameBuf,
    waiting: Vec<i32>,
    channels: usize,
    frames: usize,
}

/// What was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// Samples of each channel.
    pub samples: u64,
    /// Bytes of the file.
    pub bytes: u64,
}

impl FlacWriter {
    /// Begins a file.
    ///
    /// # Errors
    /// [`Error::Invalid`] for a rate or channel count that FLAC does not have, [`Error::Io`] and
    /// [`Error::DiskFull`] from the disk.
    pub fn create(path: &Path, sample_rate: u32, channels: u32, depth: Depth) -> Result<Self> {
        if sample_rate > MOST_RATE {
            return Err(Error::invalid(
                "sample_rate",
                "must be 96000 or less: the encoder writes no more",
            ));
        }
        if !(1..=8).contains(&channels) {
            return Err(Error::invalid("channels", "must be 1 to 8"));
        }
        let unfit = |error: &dyn std::fmt::Display| {
            Error::invalid("sound", format!("does not fit FLAC: {error}"))
        };
        let (rate, channels) = (sample_rate as usize, channels as usize);
        let bits = depth.bits() as usize;
        let mut info = StreamInfo::new(rate, channels, bits).map_err(|e| unfit(&e))?;
        info.set_block_sizes(BLOCK, BLOCK).map_err(|e| unfit(&e))?;
        let config = config::Encoder::default()
            .into_verified()
            .map_err(|(_, e)| unfit(&e))?;
        let frame = FrameBuf::with_size(channels, BLOCK).map_err(|e| unfit(&e))?;
        let file = File::create(path).map_err(Error::io(path))?;
        let mut writer = Self {
            path: path.into(),
            file: BufWriter::new(file),
            config,
            info,
            context: Context::new(bits, channels),
            frame,
            waiting: Vec::with_capacity(2 * BLOCK * channels),
            channels,
            frames: 0,
        };
        writer.write_head()?;
        Ok(writer)
    }

    /// Adds interleaved samples; whole frames go to the file at once.
    ///
    /// # Errors
    /// [`Error::Io`] and [`Error::DiskFull`] from the disk.
    pub fn push(&mut self, interleaved: &[i32]) -> Result<()> {
        self.waiting.extend_from_slice(interleaved);
        let size = BLOCK * self.channels;
        let mut begin = 0;
        while let Some(block) = self.waiting.get(begin..begin + size) {
            let block = block.to_vec();
            self.write_frame(&block)?;
            begin += size;
        }
        self.waiting.drain(..begin);
        Ok(())
    }

    /// Writes what is left and the finished head, and makes the file durable.
    ///
    /// # Errors
    /// [`Error::Io`] and [`Error::DiskFull`] from the disk.
    pub fn finish(mut self) -> Result<Written> {
        let rest = std::mem::take(&mut self.waiting);
        let whole = rest.len() - rest.len() % self.channels;
        if let Some(rest) = rest.get(..whole).filter(|rest| !rest.is_empty()) {
            self.write_frame(rest)?;
        }
        let samples = self.context.total_samples();
        self.info.set_md5_digest(&self.context.md5_digest());
        self.info.set_total_samples(samples);
        // The last block does not count (RFC 9639, section 8.2): blocks of one size, however short
        // the last one is. Some decoders take two sizes for a stream of changing blocks.
        self.info
            .set_block_sizes(BLOCK, BLOCK)
            .map_err(|e| Error::Fault(format!("FLAC head: {e}")))?;
        let bytes = self.file.stream_position().map_err(Error::io(&self.path))?;
        self.file
            .seek(SeekFrom::Start(0))
            .map_err(Error::io(&self.path))?;
        self.write_head()?;
        self.file.flush().map_err(Error::io(&self.path))?;
        let file = self.file.get_ref();
        file.sync_all().map_err(Error::io(&self.path))?;
        Ok(Written {
            samples: samples as u64,
            bytes,
        })
    }

    fn write_head(&mut self) -> Result<()> {
        let mut sink = ByteSink::new();
        Stream::with_stream_info(self.info.clone())
            .write(&mut sink)
            .map_err(|e| Error::Fault(format!("FLAC head: {e}")))?;
        self.file
            .write_all(sink.as_slice())
            .map_err(Error::io(&self.path))
    }

    fn write_frame(&mut self, interleaved: &[i32]) -> Result<()> {
        let fault = |e: &dyn std::fmt::Display| Error::Fault(format!("FLAC frame: {e}"));
        self.frame
            .fill_interleaved(interleaved)
            .map_err(|e| fault(&e))?;
        self.context
            .fill_interleaved(interleaved)
            .map_err(|e| fault(&e))?;
        let frame =
            flacenc::encode_fixed_size_frame(&self.config, &self.frame, self.frames, &self.info)
                .map_err(|e| fault(&e))?;
        let mut sink = ByteSink::with_capacity(frame.count_bits());
        frame.write(&mut sink).map_err(|e| fault(&e))?;
        self.info.update_frame_info(&frame);
        self.frames += 1;
        self.file
            .write_all(sink.as_slice())
            .map_err(Error::io(&self.path))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A decoder from another hand (claxon, which checks every frame's CRC) gives the same samples.
    #[test]
    fn what_is_written_is_read_back_exactly_by_an_independent_decoder() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("t.flac");
        for (length, channels, depth, rate) in [
            (0, 1, Depth::Sixteen, 48_000),
            (1, 1, Depth::Sixteen, 44_100),
            (17, 2, Depth::TwentyFour, 48_000),
            (4096, 1, Depth::TwentyFour, 96_000),
            (4099, 1, Depth::Sixteen, 8_000),
            (20_000, 2, Depth::TwentyFour, MOST_RATE),
        ] {
            let samples: Vec<i32> = (0..length * channels)
                .map(|i| depth.quantize((i as f32 * 0.01).sin() * ((i * 7919 % 101) as f32 / 90.0)))
                .collect();
            let mut writer = FlacWriter::create(&path, rate, channels, depth).unwrap();
            for chunk in samples.chunks(1000 * channels as usize) {
                writer.push(chunk).unwrap();
            }
            let written = writer.finish().unwrap();
            assert_eq!(written.samples, u64::from(length));
            assert_eq!(written.bytes, std::fs::metadata(&path).unwrap().len());
            let mut reader = claxon::FlacReader::open(&path).unwrap();
            let info = reader.streaminfo();
            assert_eq!((info.sample_rate, info.channels), (rate, channels));
            assert_eq!(info.bits_per_sample, depth.bits());
            assert_eq!((info.min_block_size, info.max_block_size), (4096, 4096));
            assert_eq!(info.samples.unwrap_or(0), u64::from(length));
            let back: Vec<i32> = reader.samples().map(Result::unwrap).collect();
            assert_eq!(back, samples, "{length} x {channels}");
        }
    }

    #[test]
    fn samples_beyond_full_scale_and_not_numbers_are_held() {
        assert_eq!(Depth::Sixteen.quantize(2.0), 32_767);
        assert_eq!(Depth::Sixteen.quantize(-2.0), -32_768);
        assert_eq!(Depth::TwentyFour.quantize(f32::NAN), 0);
        assert_eq!(Depth::TwentyFour.quantize(f32::INFINITY), 8_388_607);
        assert_eq!(Depth::fitting(&[0.5, -1.0, 1.0 / 32_768.0]), Depth::Sixteen);
        assert_eq!(Depth::fitting(&[0.1]), Depth::TwentyFour);
    }
}
