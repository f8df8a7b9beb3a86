//! Prints the reverberation time that is told of takes in rooms that were made beside the truth, and how
//! often the stated interval holds it:
//! `cargo run -p ear --example reverberation -- 401 402 403 404`.
#![allow(missing_docs, clippy::print_stdout)] // A program for developers.

#[path = "../tests/support/mod.rs"]
mod support;

use ear::{Measure, Settings, hear};
use support::decays::{ROOMS, take};

fn main() {
    let seeds: Vec<u64> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let (mut inside, mut count) = (0, 0);
    for (rt60_s, direct_db) in ROOMS {
        for seed in &seeds {
            let (samples, truth) = take(rt60_s, direct_db, *seed);
            match hear(&samples, None, &Settings::default()).reverb_s {
                Measure::Known { value, uncertainty } => {
                    println!("RT {rt60_s}: T20 {truth:.2}, heard {value:.2} +- {uncertainty:.2}");
                    count += 1;
                    inside += i32::from((value - truth).abs() <= 1.96 * uncertainty);
                }
                Measure::Unknown { why } => println!("RT {rt60_s}: not told, {why}"),
            }
        }
    }
    let share = f64::from(inside) / f64::from(count);
    println!("{share:.2} of {count} intervals hold the truth");
}
