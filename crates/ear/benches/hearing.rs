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
use ear::report::{Asked, of_input};
use ear::{Settings, hear, input};
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

fn takes(c: &mut Criterion<Computing>) {
    for take in set(SEED).takes {
        if !["tong_40", "slur_40", "slur_room"].contains(&take.name) {
            continue;
        }
        let samples = take.samples();
        let halved: Vec<f64> = samples
            .data
            .iter()
            .step_by(2)
            .map(|x| (*x).into())
            .collect();
        let bytes = wave(&take);
        let mut group = c.benchmark_group(take.name);
        group.sample_size(10);
        group.throughput(Throughput::Elements(samples.seconds() as u64));
        group.bench_function("tracker alone", |b| b.iter(|| track(black_box(&halved))));
        group.bench_function("notes and slurs", |b| {
            b.iter(|| {
                hear(
                    black_box(&samples),
                    Some(&take.expected),
                    &Settings::default(),
                )
            });
        });
        group.bench_function("file to report", |b| {
            b.iter(|| {
                let input =
                    input::from_bytes(black_box(&bytes), &input::Options::default()).unwrap();
                let asked = Asked {
                    expected: Some(&take.expected),
                    ..Asked::default()
                };
                of_input(&input, &asked)
            });
        });
        group.finish();
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().with_measurement(Computing);
    targets = takes
}
criterion_main!(benches);
