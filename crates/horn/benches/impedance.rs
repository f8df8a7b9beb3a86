//! The impedance curve against the same algorithm in vectorised numpy, in one run.
//!
//! `benches/impedance_peer.py` does the same cones at the same frequencies on one core; its best time
//! and the ratios are printed when `HORN_PYTHON` (default `python3`) has numpy and scipy. Both count
//! processor time of one core, the best of several runs, so that other work on the machine falls on
//! neither side.

#![allow(missing_docs, clippy::print_stdout, clippy::unwrap_used)] // criterion's macros

use std::hint::black_box;
use std::io::Write;
use std::process::{Command, Stdio};

use cpu_time::ThreadTime;
use criterion::{Criterion, criterion_group, criterion_main};
use horn::{Setup, impedance::input_impedance};
use tone::Tuning;

const FREQUENCIES: usize = 3900;

/// Processor time of the best of several runs, seconds.
fn best<T>(times: usize, mut job: impl FnMut() -> T) -> f64 {
    (0..times)
        .map(|_| {
            let start = ThreadTime::now();
            black_box(job());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

/// Seconds that numpy takes for the same tube and frequencies; `None` without python and numpy.
fn numpy_seconds(setup: &Setup) -> Option<f64> {
    let open = setup.instrument.lengths[0].id;
    let input = serde_json::json!({
        "cones": setup.tube(open).ok()?.cones,
        "rim": setup.tube(open).ok()?.mouth_radius(),
        "medium": setup.medium().ok()?,
        "count": FREQUENCIES,
    });
    let python = std::env::var("HORN_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let mut child = Command::new(python)
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/benches/impedance_peer.py"
        ))
        .env("OMP_NUM_THREADS", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    child
        .stdin
        .take()?
        .write_all(input.to_string().as_bytes())
        .ok()?;
    let output = child.wait_with_output().ok()?;
    String::from_utf8(output.stdout).ok()?.trim().parse().ok()
}

fn curve(c: &mut Criterion) {
    let setup = Setup::generic("trumpet-bflat").unwrap();
    let open = setup.instrument.lengths[0].id;
    let (tube, air) = (setup.tube(open).unwrap(), setup.medium().unwrap());
    let frequency: Vec<f64> = (0..FREQUENCIES).map(|i| 20.0 + 0.5 * i as f64).collect();
    c.bench_function("curve, 3900 frequencies", |b| {
        b.iter(|| input_impedance(&tube, &air, black_box(&frequency)).unwrap());
    });
    c.bench_function("resonances of one length", |b| {
        b.iter(|| setup.resonances(black_box(open)).unwrap());
    });
    c.bench_function("slots of one length", |b| {
        b.iter(|| setup.slots(black_box(open)).unwrap());
    });
    c.bench_function("chart of all lengths", |b| {
        b.iter(|| setup.chart(&Tuning::default(), 0).unwrap());
    });

    let curve = best(30, || input_impedance(&tube, &air, &frequency).unwrap());
    // A slide is dragged: a tube that was not there before, its peaks alone.
    let mut dragged = setup.clone();
    let mut pull = 0.0;
    let step = best(60, || {
        pull = (pull + 0.37) % 30.0;
        dragged.pulls.insert("main".into(), pull);
        dragged.resonances(open).unwrap()
    });
    let column = best(20, || setup.column(open).unwrap());
    let slots = best(20, || setup.slots(open).unwrap());
    let chart = best(10, || setup.chart(&Tuning::default(), 0).unwrap());
    println!(
        "processor time: curve {:.2} ms ({FREQUENCIES} frequencies, {} cones); a slider's step {:.2} ms; \
         one length: resonances {:.2} ms, with slots {:.2} ms; chart of all {} lengths {:.2} ms",
        curve * 1e3,
        tube.cones.len(),
        step * 1e3,
        column * 1e3,
        slots * 1e3,
        setup.instrument.lengths.len(),
        chart * 1e3
    );
    match numpy_seconds(&setup) {
        Some(numpy) => println!(
            "numpy, same cones and frequencies: {:.0} ms; curve {:.0}x faster; the whole chart takes {:.3} of \
             one numpy curve; {:.0} slider's steps a second",
            numpy * 1e3,
            numpy / curve,
            chart / numpy,
            1.0 / step
        ),
        None => println!("no python with numpy and scipy found (set HORN_PYTHON): no ratio"),
    }
}

criterion_group!(benches, curve);
criterion_main!(benches);
