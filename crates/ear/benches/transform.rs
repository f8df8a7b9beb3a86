//! The transform of real sound, ours beside `realfft`'s, at the sizes that occur: each makes the spectrum of the
//! same stretch from the samples on, all bins, in one run. After the two times of a size their ratio is told.
//! Computing time, not the time on the clock. `cargo bench -p ear --bench transform`.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)]

#[path = "support/computing.rs"]
mod computing;

use std::cell::Cell;
use std::hint::black_box;

use computing::Computing;
use cpu_time::ProcessTime;
use criterion::{Bencher, Criterion, criterion_group, criterion_main};
use ear::signal::Transform;

/// The fine track's windows from 22 ms on and the salience's, at 22,050 samples a second.
const SIZES: [usize; 7] = [512, 768, 1_024, 1_536, 2_048, 3_072, 4_096];

/// Runs a loop and keeps the least time of a round, seconds.
fn timed(b: &mut Bencher<'_, Computing>, least: &Cell<f64>, mut work: impl FnMut()) {
    b.iter_custom(|rounds| {
        let start = ProcessTime::now();
        (0..rounds).for_each(|_| work());
        let took = start.elapsed();
        least.set(least.get().min(took.as_secs_f64() / rounds as f64));
        took
    });
}

fn transforms(c: &mut Criterion<Computing>) {
    for size in SIZES {
        let sound: Vec<f32> = (0..size).map(|n| ((n * n) as f32 * 0.37).sin()).collect();
        let mut ours = Transform::new(size);
        let theirs = realfft::RealFftPlanner::<f32>::new().plan_fft_forward(size);
        let (mut input, mut bins) = (theirs.make_input_vec(), theirs.make_output_vec());
        let mut scratch = theirs.make_scratch_vec();
        let least = [Cell::new(f64::MAX), Cell::new(f64::MAX)];
        let mut group = c.benchmark_group(format!("{size} samples"));
        group.bench_function("ours", |b| {
            timed(b, &least[0], || {
                ours.look(black_box(&sound), (size / 2) as isize);
                black_box(&ours);
            });
        });
        group.bench_function("realfft", |b| {
            timed(b, &least[1], || {
                input.copy_from_slice(black_box(&sound));
                theirs
                    .process_with_scratch(&mut input, &mut bins, &mut scratch)
                    .unwrap();
                black_box(&bins);
            });
        });
        group.finish();
        let [ours, theirs] = least.each_ref().map(|least| 1e6 * least.get());
        println!(
            "{size} samples: ours {ours:.2} us, realfft {theirs:.2} us, {:.2} times ours\n",
            theirs / ours
        );
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().with_measurement(Computing).sample_size(20);
    targets = transforms
}
criterion_main!(benches);
