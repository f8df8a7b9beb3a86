//! Sound files of every kind a person may hand in, made from one that the program wrote.

use std::path::Path;

use hound::{SampleFormat, WavReader, WavSpec, WavWriter};

/// Mono sound.
pub(crate) struct Sound {
    pub(crate) rate: u32,
    pub(crate) samples: Vec<f32>,
}

impl Sound {
    /// Reads a mono file of 16-bit samples.
    pub(crate) fn read(path: &Path) -> Self {
        let mut reader = WavReader::open(path).unwrap();
        let rate = reader.spec().sample_rate;
        let samples = reader.samples::<i16>();
        let samples = samples.map(|x| f32::from(x.unwrap()) / 32_768.0).collect();
        Self { rate, samples }
    }

    /// Writes 16-bit samples, the same on each channel.
    pub(crate) fn write(&self, path: &Path, channels: u16) {
        let spec = WavSpec {
            channels,
            sample_rate: self.rate,
            bits_per_sample: 16,
            sample_format: SampleFormat::Int,
        };
        let mut writer = WavWriter::create(path, spec).unwrap();
        for sample in &self.samples {
            let sample = (sample.clamp(-1.0, 1.0) * 32_767.0) as i16;
            for _ in 0..channels {
                writer.write_sample(sample).unwrap();
            }
        }
        writer.finalize().unwrap();
    }

    /// Louder, so that peaks are cut off when written.
    pub(crate) fn louder(&self, gain: f32) -> Self {
        let samples = self.samples.iter().map(|x| x * gain).collect();
        Self {
            rate: self.rate,
            samples,
        }
    }

    /// Every `n`-th sample of the running mean over `n`: a lower rate.
    pub(crate) fn slower(&self, n: usize) -> Self {
        let mean = |block: &[f32]| block.iter().sum::<f32>() / block.len() as f32;
        Self {
            rate: self.rate / n as u32,
            samples: self.samples.chunks(n).map(mean).collect(),
        }
    }

    /// `n` samples for one, in straight lines: a higher rate.
    pub(crate) fn faster(&self, n: usize) -> Self {
        let line = |pair: &[f32]| {
            let (a, b) = (pair[0], pair[1]);
            (0..n).map(move |i| a + (b - a) * i as f32 / n as f32)
        };
        Self {
            rate: self.rate * n as u32,
            samples: self.samples.windows(2).flat_map(line).collect(),
        }
    }
}

/// Two hours of silence at 8 kHz, one byte a sample, as a file with a hole in it.
pub(crate) fn two_hours(path: &Path) {
    let spec = WavSpec {
        channels: 1,
        sample_rate: 8_000,
        bits_per_sample: 16,
        sample_format: SampleFormat::Int,
    };
    WavWriter::create(path, spec).unwrap().finalize().unwrap();
    let bytes = 2 * 3_600 * 8_000 * 2_u32;
    let mut head = std::fs::read(path).unwrap();
    head[4..8].copy_from_slice(&(bytes + 36).to_le_bytes());
    head[40..44].copy_from_slice(&bytes.to_le_bytes());
    std::fs::write(path, &head).unwrap();
    let file = std::fs::OpenOptions::new().write(true).open(path).unwrap();
    file.set_len(u64::from(bytes) + 44).unwrap();
}
