//! The stated 95 % interval of a slur time holds the truth at that rate: simulated slurs (`support/takes.rs`), dry, in a
//! room and in a hall, of seeds that nothing was chosen on.
#![allow(clippy::print_stdout)]

mod support;

use ear::{Measure, Settings, hear};
use support::{score, takes};

const SEEDS: [u64; 2] = [401, 402];

/// Clean slurs of a take whose time was measured, and those whose interval holds the truth.
fn held(take: &takes::Take) -> (usize, usize) {
    let heard = hear(&take.samples(), Some(&take.expected), &Settings::default());
    let (mut measured, mut held) = (0, 0);
    for slur in take.slurs.iter().filter(|slur| !slur.caught) {
        let middle = f64::midpoint(slur.from_s, slur.to_s);
        let hit = heard
            .slurs
            .iter()
            .find(|s| (f64::midpoint(s.left_s, s.entered_s) - middle).abs() < 0.08);
        let Some(Measure::Known { value, uncertainty }) = hit.map(|s| s.slur_ms) else {
            continue;
        };
        measured += 1;
        let away = (value - score::true_slur_ms(take, slur)).abs();
        held += usize::from(away <= 1.96 * uncertainty);
    }
    (measured, held)
}

#[test]
fn the_interval_of_a_slur_time_holds_the_truth() {
    for room in 0..3 {
        let (mut measured, mut inside, mut name) = (0, 0, "");
        for seed in SEEDS {
            if let Some(take) = takes::slurred(seed).get(room) {
                let (m, h) = held(take);
                (measured, inside, name) = (measured + m, inside + h, take.name);
            }
        }
        let share = 100.0 * inside as f64 / measured as f64;
        println!("{name}: {inside} of {measured} slur times hold the truth, {share:.1} %");
        // 95 % of 140: two standard deviations of the count lie at 3.7 %.
        assert!(share >= 91.0, "{name}: {share} %");
    }
}
