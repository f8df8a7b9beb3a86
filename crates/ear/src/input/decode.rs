//! The decoding loop: container to packets to frames to mono samples at the working rate.

use std::io::{Read, Seek};

use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, TrackType};
use symphonia::core::io::MediaSourceStream;
use symphonia::core::meta::MetadataOptions;

use super::clipping::Clipping;
use super::dropouts::Dropouts;
use super::faults::{self, Found};
use super::source::Bytes;
use super::{
    DcBlocker, Input, InputError, MOST_CHANNELS, Mixdown, Options, Resampler, Source, looks_like,
    rate_is_allowed,
};
use crate::Samples;
use crate::signal::sum;

/// A value beyond this is no sound but a damaged number.
const NO_SAMPLE: f32 = 1e6;
/// Values that are looked through together for one.
const TOGETHER: usize = 1_024;
/// A file that is shorter than it says by more than this is reported as cut, seconds.
const CUT_S: f64 = 0.2;

/// Decodes a whole source.
pub(super) fn decode<R: Read + Seek + Send + Sync>(
    source: Bytes<R>,
    options: &Options,
) -> Result<Input, InputError> {
    let looks_like = looks_like(&source.head);
    let mut hint = Hint::new();
    if let Some(extension) = &options.extension {
        hint.with_extension(&extension.to_ascii_lowercase());
    }
    let stream = MediaSourceStream::new(Box::new(source), Default::default());
    let mut format = symphonia::default::get_probe()
        .probe(
            &hint,
            stream,
            FormatOptions::default(),
            MetadataOptions::default(),
        )
        .map_err(|error| match error {
            Error::IoError(e) if e.kind() != std::io::ErrorKind::UnexpectedEof => {
                InputError::Read { why: e.to_string() }
            }
            _ => InputError::NotSound {
                looks_like: looks_like.into(),
            },
        })?;
    let container = format.format_info().short_name.to_string();
    let track = format
        .default_track(TrackType::Audio)
        .ok_or(InputError::NoTrack)?;
    let id = track.id;
    let promised = track.num_frames;
    let Some(CodecParameters::Audio(parameters)) = &track.codec_params else {
        return Err(InputError::NoTrack);
    };
    let decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &AudioDecoderOptions::default())
        .map_err(|e| InputError::Unsupported {
            what: e.to_string(),
        })?;
    let coding = decoder.codec_info().short_name.to_string();
    let mut take = Take::new(options);
    run(format.as_mut(), decoder, id, &mut take)?;
    take.finish(container, coding, promised)
}

/// Reads packets until the end, the limit or a damage that can't be passed.
fn run(
    format: &mut dyn FormatReader,
    mut decoder: Box<dyn AudioDecoder>,
    id: u32,
    take: &mut Take<'_>,
) -> Result<(), InputError> {
    let mut frames: Vec<f32> = Vec::new();
    loop {
        let packet = match format.next_packet() {
            Ok(Some(packet)) if packet.track_id == id => packet,
            Ok(Some(_)) => continue,
            Ok(None) => return Ok(()),
            Err(error) => return take.broken(&error),
        };
        match decoder.decode(&packet) {
            Ok(buffer) => {
                let spec = buffer.spec();
                let (rate, channels) = (spec.rate(), spec.channels().count());
                frames.resize(buffer.samples_interleaved(), 0.0);
                buffer.copy_to_slice_interleaved(&mut frames);
                if !take.frames(&mut frames, rate, channels)? {
                    return Ok(());
                }
            }
            Err(Error::DecodeError(_)) => take.hole(packet.dur.get())?,
            Err(error) => return take.broken(&error),
        }
    }
}

/// A take that is being decoded.
struct Take<'o> {
    options: &'o Options,
    open: Option<Open>,
    found: Found,
}

/// What is only known once the first packet has been decoded.
struct Open {
    rate: u32,
    channels: usize,
    taken: u64,
    clipping: Vec<Clipping>,
    mixdown: Mixdown,
    dropouts: Dropouts,
    sum: f64,
    counted: u64,
    dc: DcBlocker,
    resampler: Resampler,
    /// One channel of several.
    one: Vec<f32>,
    mono: Vec<f32>,
    out: Vec<f32>,
}

impl<'o> Take<'o> {
    fn new(options: &'o Options) -> Self {
        Self {
            options,
            open: None,
            found: Found::default(),
        }
    }

    fn seconds(&self) -> f64 {
        self.open
            .as_ref()
            .map_or(0.0, |open| open.taken as f64 / f64::from(open.rate))
    }

    /// Takes interleaved frames; false when the stream must end here.
    fn frames(
        &mut self,
        frames: &mut [f32],
        rate: u32,
        channels: usize,
    ) -> Result<bool, InputError> {
        if frames.is_empty() || channels == 0 {
            return Ok(true);
        }
        if self.open.is_none() {
            self.open = Some(Open::new(rate, channels, self.options.rate_of(rate))?);
        }
        let at_s = self.seconds();
        let Some(open) = &mut self.open else {
            return Ok(true);
        };
        if open.rate != rate || open.channels != channels {
            self.found.damaged.push((at_s, at_s));
            return Ok(false);
        }
        let is_one = |x: &f32| x.abs() <= NO_SAMPLE;
        let others = |some: &[f32]| some.iter().map(|x| u32::from(!is_one(x))).sum::<u32>() > 0;
        if frames.chunks(TOGETHER).any(others) {
            for sample in frames.iter_mut().filter(|x| !is_one(x)) {
                *sample = 0.0;
                self.found.not_numbers += 1;
            }
        }
        open.take(frames);
        if open.taken as f64 > self.options.longest_s * f64::from(rate) {
            return Err(InputError::TooLong {
                limit_s: self.options.longest_s,
            });
        }
        Ok(true)
    }

    /// Puts silence where a packet could not be decoded, so that what follows keeps its time.
    fn hole(&mut self, frames: u64) -> Result<(), InputError> {
        let Some(open) = &self.open else {
            return Ok(());
        };
        let (rate, channels, from_s) = (open.rate, open.channels, self.seconds());
        // A damaged packet may lie about its length: a second is more than any codec's packet.
        let frames = (frames.min(u64::from(rate))) as usize;
        self.frames(&mut vec![0.0; frames * channels], rate, channels)?;
        self.found.damaged.push((from_s, self.seconds()));
        Ok(())
    }

    /// The stream can't go on: an error when nothing was read, else a fault at this place.
    fn broken(&mut self, error: &Error) -> Result<(), InputError> {
        let at_s = self.seconds();
        match error {
            Error::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {}
            Error::IoError(e) => return Err(InputError::Read { why: e.to_string() }),
            _ if self.open.is_some() => self.found.damaged.push((at_s, at_s)),
            _ => {
                return Err(InputError::Damaged {
                    at_s,
                    why: error.to_string(),
                });
            }
        }
        Ok(())
    }

    fn finish(
        mut self,
        container: String,
        coding: String,
        promised: Option<u64>,
    ) -> Result<Input, InputError> {
        let Some(mut open) = self.open.take().filter(|open| open.taken > 0) else {
            return Err(InputError::NoSamples { container });
        };
        open.mono.clear();
        let mixing = open.mixdown.finish(&mut open.mono);
        open.dropouts.push(&open.mono);
        open.sum += sum(&open.mono);
        open.counted += open.mono.len() as u64;
        open.dc.run(&mut open.mono);
        open.resampler.push(&open.mono, &mut open.out);
        open.resampler.finish(&mut open.out);
        let seconds = open.taken as f64 / f64::from(open.rate);
        self.found.missing_s = promised
            .map(|frames| frames as f64 / f64::from(open.rate) - seconds)
            // Lossy containers only estimate their length.
            .filter(|missing| *missing > CUT_S && *missing > 0.01 * seconds);
        let peak = open.clipping.iter().map(Clipping::peak).fold(0.0, f32::max);
        self.found.clipped = Clipping::merge(open.clipping, f64::from(open.rate));
        self.found.dropouts = open.dropouts.finish();
        self.found.said_rate = self.options.said_rate.filter(|said| *said != open.rate);
        let source = Source {
            container,
            coding,
            rate: open.rate,
            channels: open.channels,
            seconds,
            mixing,
            peak_db: 20.0 * f64::from(peak).max(1e-10).log10(),
            dc: open.sum / open.counted.max(1) as f64,
        };
        let samples = Samples::new(f64::from(self.options.rate_of(open.rate)), open.out);
        let faults = faults::report(&self.found, &source, &samples);
        Ok(Input {
            samples,
            source,
            faults,
        })
    }
}

impl Open {
    fn new(rate: u32, channels: usize, to: u32) -> Result<Self, InputError> {
        if !rate_is_allowed(rate) {
            return Err(InputError::Rate { rate });
        }
        if channels > MOST_CHANNELS {
            return Err(InputError::Channels { channels });
        }
        Ok(Self {
            rate,
            channels,
            taken: 0,
            clipping: (0..channels).map(|_| Clipping::default()).collect(),
            mixdown: Mixdown::new(channels, rate),
            dropouts: Dropouts::new(f64::from(rate)),
            sum: 0.0,
            counted: 0,
            dc: DcBlocker::new(f64::from(rate)),
            resampler: Resampler::new(rate, to)?,
            one: Vec::new(),
            mono: Vec::new(),
            out: Vec::new(),
        })
    }

    fn take(&mut self, frames: &[f32]) {
        self.taken += (frames.len() / self.channels) as u64;
        if let [clipping] = &mut *self.clipping {
            clipping.push(frames);
        } else {
            for (channel, clipping) in self.clipping.iter_mut().enumerate() {
                self.one.clear();
                let samples = frames.iter().skip(channel).step_by(self.channels);
                self.one.extend(samples.copied());
                clipping.push(&self.one);
            }
        }
        self.mono.clear();
        self.mixdown.push(frames, &mut self.mono);
        self.dropouts.push(&self.mono);
        self.sum += sum(&self.mono);
        self.counted += self.mono.len() as u64;
        self.dc.run(&mut self.mono);
        self.resampler.push(&self.mono, &mut self.out);
    }
}
