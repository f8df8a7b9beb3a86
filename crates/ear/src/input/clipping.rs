//! Flat tops: samples that stand still at the recording's ceiling.

/// Fewest equal samples in a row that make a flat top.
const RUN: u64 = 3;
/// A flat top lies within this share of the highest sample.
const NEAR_PEAK: f32 = 0.98;
/// Samples that are looked at together: most hold no three alike in a row.
const BLOCK: usize = 256;
/// Below this level nothing is called clipped, share of full scale.
const QUIET: f32 = 0.05;
/// How far the wave must be missing above the flat top, as a share of it, judged from how
/// steeply the wave runs into it. A coarsely quantised low note also stands still at its crest,
/// but runs into it gently: at 16 bits a 29 Hz pedal misses 0.0002.
const MISSING: f32 = 0.003;
/// And how many quantisation steps the wave must move on either side of it.
const STEPS: f32 = 2.5;
/// Events kept for a channel; more only make the share a lower bound.
const MOST_EVENTS: usize = 20_000;
/// Flat tops closer than this are one stretch, seconds.
const STRETCH_S: f64 = 0.1;

/// Watches one channel.
#[derive(Debug, Default)]
pub(super) struct Clipping {
    at: u64,
    peak: f32,
    /// Smallest move seen between two samples: the quantisation step.
    step: f32,
    value: f32,
    before: f32,
    run: u64,
    events: Vec<Event>,
}

#[derive(Clone, Copy, Debug)]
struct Event {
    from: u64,
    length: u64,
    height: f32,
    rise: f32,
    move_in: f32,
}

/// What was found in all channels together.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Clipped {
    /// Share of all samples.
    pub(super) share: f64,
    /// Where, seconds from-to.
    pub(super) stretches: Vec<(f64, f64)>,
}

impl Clipping {
    /// Takes the channel's next samples.
    pub(super) fn push(&mut self, samples: &[f32]) {
        // What came before the block, and the block.
        let mut stretch = [0.0; BLOCK + 2];
        for samples in samples.chunks(BLOCK) {
            let (past, block) = stretch.split_at_mut(2);
            let count = samples.len();
            for (slot, x) in block.iter_mut().zip(samples) {
                *slot = *x;
            }
            let earlier = if self.run > 1 {
                self.value
            } else {
                self.before
            };
            past.copy_from_slice(&[earlier, self.value]);
            let stretch = stretch.get(..count + 2).unwrap_or(&[]);
            if self.run >= RUN || stands(stretch) {
                self.each(stretch.get(2..).unwrap_or(&[]));
            } else {
                self.moves(stretch);
            }
        }
    }

    /// A block in which no flat top stands or ends, with the two samples before it.
    fn moves(&mut self, stretch: &[f32]) {
        let least = |step: f32, (a, b): (&f32, &f32)| {
            let now = (b - a).abs();
            if now > 0.0 && now < step { now } else { step }
        };
        let block = stretch.get(2..).unwrap_or(&[]);
        let known = if self.step == 0.0 {
            f32::MAX
        } else {
            self.step
        };
        let pairs = stretch.get(1..).unwrap_or(&[]).iter().zip(block);
        let step = pairs.fold(known, least);
        self.step = if step == f32::MAX { 0.0 } else { step };
        self.peak = block.iter().fold(self.peak, |peak, x| peak.max(x.abs()));
        if let [.., third, second, last] = stretch {
            self.value = *last;
            (self.run, self.before) = if second == last {
                (2, *third)
            } else {
                (1, *second)
            };
        }
        self.at += block.len() as u64;
    }

    fn each(&mut self, samples: &[f32]) {
        for x in samples.iter().copied() {
            if x == self.value {
                self.run += 1;
            } else {
                let step = (x - self.value).abs();
                if self.step == 0.0 || step < self.step {
                    self.step = step;
                }
                self.end_run(x);
                self.before = self.value;
                self.value = x;
                self.run = 1;
                self.peak = self.peak.max(x.abs());
            }
            self.at += 1;
        }
    }

    /// The highest sample so far.
    pub(super) fn peak(&self) -> f32 {
        self.peak
    }

    fn end_run(&mut self, after: f32) {
        let height = self.value.abs();
        if self.run < RUN || height < QUIET || height < NEAR_PEAK * self.peak {
            return;
        }
        let towards = |x: f32| (self.value - x) * self.value.signum();
        let move_in = towards(self.before).min(towards(after));
        // A parabola through the ends with these slopes rises a quarter of slope x width.
        let rise = move_in * self.run as f32 / 4.0;
        if self.events.len() >= MOST_EVENTS {
            let floor = NEAR_PEAK * self.peak;
            self.events.retain(|e| e.height >= floor);
        }
        if self.events.len() < MOST_EVENTS {
            self.events.push(Event {
                from: self.at - self.run,
                length: self.run,
                height,
                rise,
                move_in,
            });
        }
    }

    /// All channels' flat tops as one list of stretches.
    pub(super) fn merge(channels: Vec<Self>, rate: f64) -> Clipped {
        let mut spans = Vec::new();
        let (mut flat, mut all) = (0, 0);
        for mut channel in channels {
            let last = channel.before;
            channel.end_run(last);
            all += channel.at;
            let floor = NEAR_PEAK * channel.peak;
            for event in channel.events {
                let real = event.height >= floor
                    && event.rise > MISSING * event.height
                    && event.move_in > STEPS * channel.step;
                if real {
                    flat += event.length;
                    spans.push((event.from, event.from + event.length));
                }
            }
        }
        spans.sort_unstable();
        let mut stretches: Vec<(f64, f64)> = Vec::new();
        for (from, to) in spans {
            let (from, to) = (from as f64 / rate, to as f64 / rate);
            match stretches.last_mut() {
                Some(last) if from - last.1 < STRETCH_S => last.1 = last.1.max(to),
                _ => stretches.push((from, to)),
            }
        }
        Clipped {
            share: flat as f64 / f64::from(u32::try_from(all.max(1)).unwrap_or(u32::MAX)),
            stretches,
        }
    }
}

/// True when three samples in a row are alike.
fn stands(stretch: &[f32]) -> bool {
    let second = stretch.get(1..).unwrap_or(&[]);
    let third = stretch.get(2..).unwrap_or(&[]);
    let three = stretch.iter().zip(second).zip(third);
    three.fold(false, |stands, ((a, b), c)| stands | ((a == b) & (b == c)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_give_what_single_samples_give() {
        // Quantised coarsely enough to stand still at every crest, and cut off at half.
        let wave = |n: usize| (f64::from(n as u32) * 0.02).sin() * (1.0 + n as f64 / 9_000.0);
        let quantised = |n: usize| ((wave(n).clamp(-0.9, 0.9) * 300.0).round() / 300.0) as f32;
        let data: Vec<f32> = (0..9_000).map(quantised).collect();
        let (mut blocks, mut single) = (Clipping::default(), Clipping::default());
        for block in data.chunks(700) {
            blocks.push(block);
        }
        single.each(&data);
        assert!(!single.events.is_empty());
        assert_eq!(format!("{blocks:?}"), format!("{single:?}"));
    }

    fn heard(wave: impl Fn(f64) -> f64, steps: f64) -> Clipped {
        let data: Vec<f32> = (0..44_100)
            .map(|n| ((wave(f64::from(n) / 44_100.0) * steps).round() / steps) as f32)
            .collect();
        let mut channel = Clipping::default();
        for block in data.chunks(1_000) {
            channel.push(block);
        }
        Clipping::merge(vec![channel], 44_100.0)
    }

    fn tone(hz: f64) -> impl Fn(f64) -> f64 {
        move |t| (std::f64::consts::TAU * hz * t).sin()
    }

    #[test]
    fn an_overdriven_tone_is_clipped_even_when_turned_down_afterwards() {
        for hz in [58.0, 233.0, 932.0] {
            for gain in [1.0, 0.3] {
                let clipped = heard(|t| gain * (1.3 * tone(hz)(t)).clamp(-1.0, 1.0), 32_767.0);
                assert!(clipped.share > 0.2, "{hz} {gain} {}", clipped.share);
                assert_eq!(clipped.stretches.len(), 1);
            }
        }
    }

    #[test]
    fn a_clean_tone_is_not_clipped_however_low_or_coarse() {
        for hz in [29.0, 58.0, 233.0, 932.0] {
            for steps in [127.0, 32_767.0, 8_388_607.0] {
                let clipped = heard(tone(hz), steps);
                assert!(clipped.stretches.is_empty(), "{hz} {steps} {clipped:?}");
            }
        }
    }
}
