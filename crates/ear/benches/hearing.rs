//! How fast a take is heard, in seconds of sound a second: the pitch track alone of a general-purpose
//! tracker (McLeod's method in `pitch-detection`, its window of 2,048 samples every 256), the
//! hearing of notes and slurs against what was asked, and the whole way from a file in memory to
//! the report with all its measures. Computing time is told, not the time on the clock: other work on the
//! machine does not count. `cargo bench -p ear`.
#![allow(missing_docs, clippy::unwrap_used)]

#[path = "support/computing.rs"]
mod computing;
#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;

use computing::Computing;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use ear::report::{Asked, Report, of_input};
use ear::{Heard, Samples, Settings, hear, input};
use pitch_detection::detector::PitchDetector;
use pitch_detection::detector::mcleod::McLeodDetector;
use support::takes::{RATE, Take, set};

/// A seed that nothing was chosen on.
const SEED: u64 = 401;
/// The tracker's window and step, samples at half the rate, and its thresholds: those of its manual.
const WINDOW: usize = 2_048;
const STEP: usize = 256;
const POWER: f64 = 0.15;
const CLARITY: f64 = 0.6;

fn wave(take: &Take) -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE as u32,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for x in take.samples().data.iter() {
        writer.write_sample((x * 32_767.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

fn track(halved: &[f64]) -> usize {
    let mut detector = McLeodDetector::new(WINDOW, WINDOW / 2);
    halved
        .windows(WINDOW)
        .step_by(STEP)
        .filter_map(|frame| detector.get_pitch(frame, RATE as usize / 2, POWER, CLARITY))
        .count()
}

/// A take made ready for all three.
struct Ready {
    take: Take,
    samples: Samples,
    halved: Vec<f64>,
    file: Vec<u8>,
}

impl Ready {
    fn new(take: Take) -> Self {
        let samples = take.samples();
        let halved = samples.data.iter().step_by(2).map(|x| (*x).into());
        Self {
            halved: halved.collect(),
            file: wave(&take),
            samples,
            take,
        }
    }

    fn hear(&self) -> Heard {
        let samples = black_box(&self.samples);
        hear(samples, Some(&self.take.expected), &Settings::default())
    }

    fn report(&self) -> Report {
        let input = input::from_bytes(black_box(&self.file), &input::Options::default()).unwrap();
        let asked = Asked {
            expected: Some(&self.take.expected),
            ..Asked::default()
        };
        of_input(&input, &asked)
    }
}

/// Takes one after the other, side by side in the three ways.
fn group(c: &mut Criterion<Computing>, name: &str, takes: &[&Ready]) {
    let mut group = c.benchmark_group(name);
    let seconds: f64 = takes.iter().map(|ready| ready.samples.seconds()).sum();
    group.sample_size(10);
    group.throughput(Throughput::Elements(seconds as u64));
    group.bench_function("tracker alone", |b| {
        b.iter(|| -> usize { takes.iter().map(|t| track(black_box(&t.halved))).sum() });
    });
    group.bench_function("notes and slurs", |b| {
        b.iter(|| takes.iter().map(|ready| ready.hear()).collect::<Vec<_>>());
    });
    group.bench_function("file to report", |b| {
        b.iter(|| takes.iter().map(|ready| ready.report()).collect::<Vec<_>>());
    });
    group.finish();
}

fn takes(c: &mut Criterion<Computing>) {
    let takes = set(SEED).takes.into_iter().map(Ready::new);
    let takes: Vec<Ready> = takes.collect();
    for name in ["tong_40", "slur_40", "slur_room", "slur_rev"] {
        let of_name: Vec<&Ready> = takes.iter().filter(|t| t.take.name == name).collect();
        group(c, name, &of_name);
    }
    // The corpus that general-purpose trackers were run on has no straight glides.
    let corpus = takes
        .iter()
        .filter(|t| !t.take.name.starts_with("straight"));
    group(c, "all nine takes", &corpus.collect::<Vec<_>>());
}

criterion_group! {
    name = benches;
    config = Criterion::default().with_measurement(Computing);
    targets = takes
}
criterion_main!(benches);
