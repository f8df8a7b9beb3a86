//! From the file's rate to the working rate, in blocks, without a shift in time.

use audioadapter_buffers::direct::SequentialSlice;
use rubato::{Fft, FixedSync, Indexing, Resampler as _};

use super::InputError;

/// Frames in a block of the resampler, at least.
const BLOCK: usize = 4_096;

/// Brings mono samples from one rate to another as they come. The first sample out lies at the
/// time of the first sample in, and the whole has the same length in seconds.
pub struct Resampler {
    inner: Option<Inner>,
}

struct Inner {
    fft: Fft<f32>,
    waiting: Vec<f32>,
    block: Vec<f32>,
    to_trim: usize,
    taken: usize,
    given: usize,
    ratio: f64,
}

impl Resampler {
    /// From `from` to `to` samples a second; equal rates pass through untouched.
    ///
    /// # Errors
    /// [`InputError::Rate`] for rates that can't be converted.
    pub fn new(from: u32, to: u32) -> Result<Self, InputError> {
        if from == to {
            return Ok(Self { inner: None });
        }
        let bad = |_| InputError::Rate { rate: from };
        // The filter's delay is half of an output block: a block of an even number of frames on
        // both sides makes it whole, so that nothing moves by half a sample.
        let unit = 2 * from as usize / greatest_common_divisor(from, to) as usize;
        let block = BLOCK.div_ceil(unit.max(1)) * unit;
        let fft = Fft::new_custom(
            from as usize,
            to as usize,
            block,
            1,
            1,
            rubato::WindowFunction::BlackmanHarris2,
            FixedSync::Input,
        )
        .map_err(bad)?;
        Ok(Self {
            inner: Some(Inner {
                waiting: Vec::new(),
                block: vec![0.0; fft.output_frames_max()],
                to_trim: fft.output_delay(),
                taken: 0,
                given: 0,
                ratio: f64::from(to) / f64::from(from),
                fft,
            }),
        })
    }

    /// Takes samples and appends what is ready to `out`.
    pub fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        let Some(inner) = &mut self.inner else {
            return out.extend_from_slice(samples);
        };
        inner.taken += samples.len();
        inner.waiting.extend_from_slice(samples);
        inner.run(false, out);
    }

    /// Ends the stream: appends the rest to `out`.
    pub fn finish(mut self, out: &mut Vec<f32>) {
        if let Some(inner) = &mut self.inner {
            inner.run(true, out);
        }
    }
}

impl Inner {
    fn run(&mut self, last: bool, out: &mut Vec<f32>) {
        let mut at = 0;
        while self.waiting.len() - at >= self.fft.input_frames_next() {
            let Some(used) = self.step(at, None, out) else {
                break;
            };
            at += used;
        }
        self.waiting.drain(..at);
        if !last {
            return;
        }
        let wanted = (self.taken as f64 * self.ratio).round() as usize;
        let mut left = self.waiting.len();
        while self.given < wanted {
            if self.step(0, Some(left), out).is_none() {
                break;
            }
            left = 0;
        }
        out.truncate(out.len() - self.given.saturating_sub(wanted).min(out.len()));
    }

    /// One block from `waiting[at..]`; says how many samples it used.
    fn step(&mut self, at: usize, partial: Option<usize>, out: &mut Vec<f32>) -> Option<usize> {
        let input = self.waiting.get(at..)?;
        let source = SequentialSlice::new(input, 1, input.len()).ok()?;
        let length = self.block.len();
        let mut sink = SequentialSlice::new_mut(&mut self.block, 1, length).ok()?;
        let mut indexing = Indexing::new();
        if let Some(frames) = partial {
            indexing = indexing.partial_len(frames);
        }
        let (used, made) = self
            .fft
            .process_into_buffer(&source, &mut sink, Some(&indexing))
            .ok()?;
        let skip = self.to_trim.min(made);
        self.to_trim -= skip;
        out.extend_from_slice(self.block.get(skip..made)?);
        self.given += made - skip;
        Some(used)
    }
}

fn greatest_common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 {
        a.max(1)
    } else {
        greatest_common_divisor(b, a % b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tone_keeps_its_time_length_and_level_at_any_rate() {
        for from in [
            8_000_u32, 11_025, 16_000, 22_050, 32_000, 48_000, 88_200, 96_000, 192_000,
        ] {
            let to = 44_100;
            let hz = 997.0;
            let wave = |n: usize, rate: u32| {
                (std::f64::consts::TAU * hz * n as f64 / f64::from(rate)).sin() as f32
            };
            let count = from as usize;
            let input: Vec<f32> = (0..count).map(|n| wave(n, from)).collect();
            let mut out = Vec::new();
            let mut resampler = Resampler::new(from, to).unwrap();
            for block in input.chunks(777) {
                resampler.push(block, &mut out);
            }
            resampler.finish(&mut out);
            assert_eq!(out.len(), to as usize, "from {from}");
            // Away from the ends, where the filter has nothing to lean on.
            let worst = (4_410..39_690)
                .map(|n| (out[n] - wave(n, to)).abs())
                .fold(0.0, f32::max);
            assert!(worst < 1e-3, "from {from}: {worst}");
        }
    }
}
