//! The room's helpers against rooms that were made: the noise floor, the reverberation time.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod support;

use ear::level::a_weighting_db;
use ear::room::noise_floor;
use ear::{Measure, Samples, Settings, hear};
use support::decays::{ROOMS, take};
use support::edges::median;
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
                let Measure::Known { value, uncertainty } = measured else {
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

/// Nothing was chosen on these seeds; `reverberation` of the examples prints each.
#[test]
fn the_interval_of_the_reverberation_time_holds_the_truth() {
    let (mut inside, mut halves, mut errors) = (0, Vec::new(), Vec::new());
    let seeds = 401..409;
    let asked = ROOMS.len() * seeds.clone().count();
    for (rt60_s, direct_db) in ROOMS {
        for seed in seeds.clone() {
            let (samples, truth) = take(rt60_s, direct_db, seed);
            let heard = hear(&samples, None, &Settings::default()).reverb_s;
            if let Measure::Known { value, uncertainty } = heard {
                inside += i32::from((value - truth).abs() <= 1.96 * uncertainty);
                halves.push(1.96 * uncertainty / truth);
                errors.push((value / truth - 1.0).abs());
            }
        }
    }
    let count = halves.len();
    let share = f64::from(inside) / count as f64;
    let (half, error) = (median(halves), median(errors));
    println!(
        "reverberation: {share:.2} of {count} intervals hold the truth, half {half:.2}, error {error:.2} of it"
    );
    assert!(count as f64 >= 0.95 * asked as f64, "{count} told");
    assert!(share >= 0.9, "{share}");
    assert!(half <= 0.4, "{half}");
}
