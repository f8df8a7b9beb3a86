//! Many channels to one, by a rule that can be told in a sentence.
//!
//! The rule, decided on the first stretch of 15 seconds that carries sound and kept
//! for the whole take:
//! 1. a channel more than 30 dB below the loudest is left out (an unplugged microphone adds only
//!    noise);
//! 2. a channel that runs against the loudest (correlation below -0.5) is turned over first, or
//!    the two would cancel;
//! 3. what is left is averaged.

use serde::{Deserialize, Serialize};

/// How much is looked at before the rule is applied, seconds.
pub(super) const LOOK_AHEAD_S: f64 = 15.0;
/// A channel this far below the loudest is left out, dB.
const LEFT_OUT_DB: f64 = 30.0;
/// A channel that correlates less than this with the loudest is turned over.
const TURNED_OVER: f64 = -0.5;
/// Mean square below which a stretch carries no sound: -70 dB against full scale.
const SILENT: f64 = 1e-7;

/// How the channels became one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Mixing {
    /// Weight of each channel: 0 left out, negative turned over.
    pub weights: Vec<f64>,
}

/// Mixes interleaved samples down to mono as they come.
#[derive(Debug)]
pub struct Mixdown {
    channels: usize,
    waiting: Vec<f32>,
    limit: usize,
    mixing: Option<Mixing>,
}

impl Mixdown {
    /// For interleaved frames of `channels` samples at `rate` frames a second.
    #[must_use]
    pub fn new(channels: usize, rate: u32) -> Self {
        let channels = channels.max(1);
        let mixing = (channels == 1).then(|| Mixing { weights: vec![1.0] });
        Self {
            channels,
            waiting: Vec::new(),
            limit: (LOOK_AHEAD_S * f64::from(rate)) as usize * channels,
            mixing,
        }
    }

    /// Takes frames and appends what can be mixed already to `out`.
    pub fn push(&mut self, frames: &[f32], out: &mut Vec<f32>) {
        if let Some(mixing) = &self.mixing {
            return mix(mixing, frames, out);
        }
        self.waiting.extend_from_slice(frames);
        if self.waiting.len() >= self.limit {
            self.decide(false, out);
        }
    }

    /// Ends the take: appends the rest and says how it was mixed.
    pub fn finish(mut self, out: &mut Vec<f32>) -> Mixing {
        self.decide(true, out);
        self.mixing.unwrap_or_default()
    }

    fn decide(&mut self, last: bool, out: &mut Vec<f32>) {
        if self.mixing.is_some() {
            return;
        }
        let (mixing, sounds) = rule(&self.waiting, self.channels);
        mix(&mixing, &self.waiting, out);
        self.waiting.clear();
        if sounds || last {
            self.mixing = Some(mixing);
        }
    }
}

/// The weights by the rule, and whether there was sound to decide on.
fn rule(frames: &[f32], channels: usize) -> (Mixing, bool) {
    let count = (frames.len() / channels).max(1) as f64;
    let mut mean = vec![0.0; channels];
    for frame in frames.chunks_exact(channels) {
        for (sum, x) in mean.iter_mut().zip(frame) {
            *sum += f64::from(*x) / count;
        }
    }
    let power = |c: usize, d: usize| {
        let (mc, md) = (
            mean.get(c).copied().unwrap_or(0.0),
            mean.get(d).copied().unwrap_or(0.0),
        );
        let product = |f: &[f32]| match (f.get(c), f.get(d)) {
            (Some(a), Some(b)) => (f64::from(*a) - mc) * (f64::from(*b) - md),
            _ => 0.0,
        };
        frames.chunks_exact(channels).map(product).sum::<f64>() / count
    };
    let powers: Vec<f64> = (0..channels).map(|c| power(c, c)).collect();
    let loudest = (0..channels)
        .max_by(|a, b| f64::total_cmp(&powers[*a], &powers[*b]))
        .unwrap_or(0);
    let top = powers.get(loudest).copied().unwrap_or(0.0);
    if top < SILENT {
        let even = Mixing {
            weights: vec![1.0 / channels as f64; channels],
        };
        return (even, false);
    }
    let floor = top * 10_f64.powf(-LEFT_OUT_DB / 10.0);
    let signs: Vec<f64> = powers
        .iter()
        .enumerate()
        .map(|(c, p)| {
            if *p < floor {
                0.0
            } else if c != loudest && power(c, loudest) / (p * top).sqrt() < TURNED_OVER {
                -1.0
            } else {
                1.0
            }
        })
        .collect();
    let kept = signs.iter().filter(|s| **s != 0.0).count().max(1) as f64;
    let weights = signs.iter().map(|s| s / kept).collect();
    (Mixing { weights }, true)
}

fn mix(mixing: &Mixing, frames: &[f32], out: &mut Vec<f32>) {
    let channels = mixing.weights.len().max(1);
    if channels == 1 {
        return out.extend_from_slice(frames);
    }
    out.extend(frames.chunks_exact(channels).map(|frame| {
        let sum: f64 = frame
            .iter()
            .zip(&mixing.weights)
            .map(|(x, w)| f64::from(*x) * w)
            .sum();
        sum as f32
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mixed(frames: &[f32], channels: usize) -> (Vec<f32>, Mixing) {
        let mut out = Vec::new();
        let mut mixdown = Mixdown::new(channels, 8_000);
        for block in frames.chunks(channels * 100) {
            mixdown.push(block, &mut out);
        }
        let mixing = mixdown.finish(&mut out);
        (out, mixing)
    }

    fn tone(n: usize) -> f32 {
        0.5 * (n as f32 * 0.3).sin()
    }

    #[test]
    fn a_dead_channel_is_left_out() {
        let frames: Vec<f32> = (0..4_000).flat_map(|n| [tone(n), 0.0005]).collect();
        let (out, mixing) = mixed(&frames, 2);
        assert_eq!(mixing.weights, [1.0, 0.0]);
        assert_eq!(out.len(), 4_000);
        assert!((out[7] - tone(7)).abs() < 1e-6);
    }

    #[test]
    fn a_channel_turned_over_does_not_cancel() {
        let frames: Vec<f32> = (0..4_000).flat_map(|n| [tone(n), -tone(n)]).collect();
        let (out, mixing) = mixed(&frames, 2);
        assert_eq!(mixing.weights.iter().map(|w| w.abs()).sum::<f64>(), 1.0);
        assert!((out[9].abs() - tone(9).abs()).abs() < 1e-6);
    }

    #[test]
    fn silence_first_does_not_decide() {
        // 20 s of silence at 8 kHz, then sound on the right channel only.
        let mut frames = vec![0.0; 2 * 160_000];
        frames.extend((0..160_000).flat_map(|n| [0.0, tone(n)]));
        let (out, mixing) = mixed(&frames, 2);
        assert_eq!(mixing.weights, [0.0, 1.0]);
        assert_eq!(out.len(), 320_000);
    }
}
