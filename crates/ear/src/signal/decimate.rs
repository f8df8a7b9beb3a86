//! Whole-number decimation to the working rate (about 22 kHz) through a Kaiser-windowed sinc.

use pulp::NullaryFnOnce;

use crate::Samples;
use crate::signal::{dot, wide};

/// The lowest working rate that a higher rate is brought down to, hertz. Harmonics up to 8 kHz
/// stay in the flat part of the filter.
const LOWEST_RATE: f64 = 20_000.0;
/// Half the filter's length, in output samples.
const REACH: usize = 12;
/// Kaiser's beta: 80 dB of stop band (Kaiser 1974).
const BETA: f64 = 8.0;
/// Pass-band edge as a share of the output rate.
const EDGE: f64 = 0.44;

/// Brings blocks of samples down by a whole factor; never allocates after it is made, as long as
/// blocks are no longer than `longest_block`.
#[derive(Clone, Debug)]
pub struct Decimator {
    factor: usize,
    taps: Vec<f32>,
    held: Vec<f32>,
}

impl Decimator {
    /// A decimator for an input rate.
    #[must_use]
    pub fn new(rate: f64, longest_block: usize) -> Self {
        let factor = factor(rate);
        let taps = if factor > 1 { taps(factor) } else { vec![1.0] };
        let mut held = Vec::with_capacity(taps.len() + longest_block + factor);
        held.resize(taps.len() / 2, 0.0);
        Self { factor, taps, held }
    }

    /// Input samples to one output sample.
    #[must_use]
    pub fn factor(&self) -> usize {
        self.factor
    }

    /// How many input samples an output sample waits for.
    #[must_use]
    pub fn delay(&self) -> usize {
        self.taps.len() / 2
    }

    /// Takes a block and appends what it gives to `out`. Output sample `m` is centred on input
    /// sample `m * factor`. Samples that are not numbers count as 0.
    pub fn push(&mut self, block: &[f32], out: &mut Vec<f32>) {
        let clean = |x: &f32| if x.is_finite() { *x } else { 0.0 };
        if self.factor == 1 {
            out.extend(block.iter().map(clean));
            return;
        }
        self.held.extend(block.iter().map(clean));
        let start = wide(Filter {
            held: &self.held,
            taps: &self.taps,
            step: self.factor,
            out,
        });
        let left = self.held.len().saturating_sub(start);
        let end = self.held.len();
        self.held.copy_within(start.min(end).., 0);
        self.held.truncate(left);
    }
}

/// The filter over all that is held; tells how far it came.
struct Filter<'a> {
    held: &'a [f32],
    taps: &'a [f32],
    step: usize,
    out: &'a mut Vec<f32>,
}

impl NullaryFnOnce for Filter<'_> {
    type Output = usize;

    #[inline(always)]
    fn call(self) -> usize {
        let mut start = 0;
        while let Some(window) = self.held.get(start..start + self.taps.len()) {
            self.out.push(dot(window, self.taps));
            start += self.step;
        }
        start
    }
}

fn factor(rate: f64) -> usize {
    ((rate / LOWEST_RATE).floor() as usize).clamp(1, 64)
}

fn taps(factor: usize) -> Vec<f32> {
    let half = REACH * factor;
    let cut = EDGE / factor as f64;
    let raw: Vec<f64> = (0..=2 * half)
        .map(|i| {
            let x = i as f64 - half as f64;
            let sinc = if x == 0.0 {
                2.0 * cut
            } else {
                (std::f64::consts::TAU * cut * x).sin() / (std::f64::consts::PI * x)
            };
            let r = x / (half as f64 + 1.0);
            sinc * bessel_i0(BETA * (1.0 - r * r).sqrt())
        })
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|h| (h / sum) as f32).collect()
}

/// Modified Bessel function of order 0, by its series.
fn bessel_i0(x: f64) -> f64 {
    let (mut term, mut sum, mut k) = (1.0, 1.0, 1.0);
    while term > 1e-12 * sum {
        term *= (x / (2.0 * k)).powi(2);
        sum += term;
        k += 1.0;
    }
    sum
}

/// A whole take at the working rate.
#[must_use]
pub fn working(samples: &Samples) -> Samples {
    let mut decimator = Decimator::new(samples.rate, samples.data.len());
    let factor = decimator.factor();
    let mut out = Vec::with_capacity(samples.data.len() / factor + 1);
    decimator.push(&samples.data, &mut out);
    let tail = vec![0.0; decimator.delay()];
    decimator.push(&tail, &mut out);
    Samples::new(samples.rate / factor as f64, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(rate: f64, hz: f64) -> Samples {
        let data: Vec<f32> = (0..rate as usize)
            .map(|i| (std::f64::consts::TAU * hz * i as f64 / rate).sin() as f32)
            .collect();
        Samples::new(rate, data)
    }

    #[test]
    fn keeps_the_pass_band_and_the_place_of_samples() {
        for rate in [44_100.0, 48_000.0, 96_000.0, 22_050.0] {
            let low = working(&tone(rate, 1000.0));
            assert!(low.rate >= 16_000.0);
            for i in 1000..1100 {
                let want = (std::f64::consts::TAU * 1000.0 * i as f64 / low.rate).sin();
                assert!((f64::from(low.data[i]) - want).abs() < 2e-4, "{rate}");
            }
        }
    }

    #[test]
    fn stops_what_would_fold() {
        let low = working(&tone(44_100.0, 13_500.0));
        let peak = low.data[200..20_000]
            .iter()
            .fold(0.0_f32, |m, x| m.max(x.abs()));
        assert!(peak < 2e-4, "{peak}");
    }

    #[test]
    fn blocks_give_what_the_whole_gives() {
        let take = tone(48_000.0, 440.0);
        let whole = working(&take);
        let mut decimator = Decimator::new(take.rate, 480);
        let mut out = Vec::new();
        for block in take.data.chunks(480) {
            decimator.push(block, &mut out);
        }
        assert_eq!(out[..], whole.data[..out.len()]);
    }
}
