//! The room's helpers against rooms that were made: the noise floor.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod support;

use ear::Samples;
use ear::level::a_weighting_db;
use ear::room::noise_floor;
use support::random::Random;
use support::takes::{RATE, at};

#[test]
fn the_noise_floor_is_what_was_put_in() {
    let mut random = Random::new(421);
    let (mut inside, mut count) = (0, 0);
    for level in [0.0003, 0.003, 0.03] {
        for hz in [100.0, 1000.0, 3000.0] {
            for _ in 0..6 {
                // Noise through a resonance at `hz`: its A-weighted level follows from the
                // weighting of each line of its spectrum (IEC 61672-1).
                let lines: Vec<(f64, f64)> = (0..80)
                    .map(|_| {
                        let f = hz * random.between(-0.35, 0.35).exp2();
                        (f, random.between(0.0, std::f64::consts::TAU))
                    })
                    .collect();
                let gain = level / (40.0_f64).sqrt();
                let data: Vec<f32> = (0..at(6.0))
                    .map(|i| {
                        let t = std::f64::consts::TAU * i as f64 / RATE;
                        let sum: f64 = lines.iter().map(|(f, p)| (f * t + p).sin()).sum();
                        (gain * sum) as f32
                    })
                    .collect();
                let power: f64 = lines
                    .iter()
                    .map(|(f, _)| 0.5 * gain * gain * 10_f64.powf(a_weighting_db(*f) / 10.0))
                    .sum();
                let truth = 10.0 * power.log10();
                let measured = noise_floor(&Samples::new(RATE, data));
                let ear::Measure::Known { value, uncertainty } = measured else {
                    panic!("{measured:?}");
                };
                assert!(
                    (value - truth).abs() < 1.0,
                    "{hz} Hz: {value}, truth {truth}"
                );
                count += 1;
                inside += i32::from((value - truth).abs() <= 1.96 * uncertainty);
            }
        }
    }
    let share = f64::from(inside) / f64::from(count);
    println!("noise floor: {share:.2} of {count} intervals hold the truth");
    assert!(share >= 0.9, "{share}");
}
