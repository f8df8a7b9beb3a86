//! Whole-number decimation to the working rate (about 22 kHz) through a Kaiser-windowed sinc.

use pulp::NullaryFnOnce;

use crate::Samples;
use crate::signal::wide;

/// The lowest working rate that a higher rate is brought down to, hertz. Harmonics up to 8 kHz
/// stay in the flat part of the filter.
const LOWEST_RATE: f64 = 20_000.0;
/// Half the filter's length, in output samples.
const REACH: usize = 12;
/// Kaiser's beta: 80 dB of stop band (Kaiser 1974).
const BETA: f64 = 8.0;
/// Pass-band edge as a share of the output rate.
const EDGE: f64 = 0.44;

/// Outputs that are summed up together.
const TOGETHER: usize = 32;

/// Brings blocks of samples down by a whole factor; never allocates after it is made, as long as
/// blocks are no longer than `longest_block`.
#[derive(Clone, Debug)]
pub struct Decimator {
    /// The filter, tap by tap for the samples of each phase.
    taps: Vec<Vec<f32>>,
    /// What is held, dealt out in turn: one list for each place between two outputs.
    phases: Vec<Vec<f32>>,
    /// The phase of the next sample.
    next: usize,
    delay: usize,
}

impl Decimator {
    /// A decimator for an input rate.
    #[must_use]
    pub fn new(rate: f64, longest_block: usize) -> Self {
        Self::by(factor(rate), longest_block)
    }

    /// A decimator by a factor.
    #[must_use]
    pub fn by(factor: usize, longest_block: usize) -> Self {
        let factor = factor.max(1);
        let all = if factor > 1 { taps(factor) } else { vec![1.0] };
        let delay = all.len() / 2;
        let taps: Vec<Vec<f32>> = (0..factor)
            .map(|phase| all.iter().skip(phase).step_by(factor).copied().collect())
            .collect();
        let room = (all.len() + longest_block) / factor + 2;
        let mut new = Self {
            phases: taps.iter().map(|_| Vec::with_capacity(room)).collect(),
            taps,
            next: 0,
            delay,
        };
        (0..delay).for_each(|_| new.hold(0.0));
        new
    }

    /// Input samples to one output sample.
    #[must_use]
    pub fn factor(&self) -> usize {
        self.taps.len()
    }

    /// How many input samples an output sample waits for.
    #[must_use]
    pub fn delay(&self) -> usize {
        self.delay
    }

    fn hold(&mut self, x: f32) {
        if let Some(phase) = self.phases.get_mut(self.next) {
            phase.push(x);
        }
        self.next = (self.next + 1) % self.taps.len().max(1);
    }

    /// Takes a block and appends what it gives to `out`. Output sample `m` is centred on input
    /// sample `m * factor`. Samples that are not numbers count as 0.
    pub fn push(&mut self, block: &[f32], out: &mut Vec<f32>) {
        let clean = |x: &f32| if x.is_finite() { *x } else { 0.0 };
        if self.factor() == 1 {
            out.extend(block.iter().map(clean));
            return;
        }
        let factor = self.factor();
        for place in 0..factor.min(block.len()) {
            if let Some(phase) = self.phases.get_mut((self.next + place) % factor) {
                let each = block.chunks(factor).filter_map(|few| few.get(place));
                phase.extend(each.map(clean));
            }
        }
        self.next = (self.next + block.len()) % factor;
        let ready = self.phases.iter().zip(&self.taps);
        let ready = ready.map(|(phase, taps)| (phase.len() + 1).saturating_sub(taps.len()));
        let ready = ready.min().unwrap_or(0);
        let from = out.len();
        out.resize(from + ready, 0.0);
        wide(Filter {
            phases: &self.phases,
            taps: &self.taps,
            out: out.get_mut(from..).unwrap_or(&mut []),
        });
        for phase in &mut self.phases {
            phase.copy_within(ready.., 0);
            phase.truncate(phase.len() - ready);
        }
    }
}

/// The filter over all that is held: neighbouring outputs side by side, so that none is summed across a
/// register. Each is summed up in the same order, wherever blocks end.
struct Filter<'a> {
    phases: &'a [Vec<f32>],
    taps: &'a [Vec<f32>],
    out: &'a mut [f32],
}

impl NullaryFnOnce for Filter<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let whole = self.out.len() / TOGETHER * TOGETHER;
        let (many, few) = self.out.split_at_mut(whole);
        for (number, out) in many.chunks_exact_mut(TOGETHER).enumerate() {
            let mut sums = [0.0; TOGETHER];
            for (phase, taps) in self.phases.iter().zip(self.taps) {
                let held = phase.get(number * TOGETHER..).unwrap_or(&[]);
                for (held, tap) in held.windows(TOGETHER).zip(taps) {
                    for (sum, x) in sums.iter_mut().zip(held) {
                        *sum += tap * x;
                    }
                }
            }
            out.copy_from_slice(&sums);
        }
        for (number, out) in (whole..).zip(few) {
            let mut sum = 0.0;
            for (phase, taps) in self.phases.iter().zip(self.taps) {
                let held = phase.get(number..).unwrap_or(&[]);
                for (x, tap) in held.iter().zip(taps) {
                    sum += tap * x;
                }
            }
            *out = sum;
        }
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
    whole(samples, factor(samples.rate))
}

/// A whole take at half its rate: what lies above four tenths of that is gone.
#[must_use]
pub fn halved(samples: &Samples) -> Samples {
    whole(samples, 2)
}

fn whole(samples: &Samples, factor: usize) -> Samples {
    let mut decimator = Decimator::by(factor, samples.data.len());
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
