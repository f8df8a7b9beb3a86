//! The stated 95 % intervals of what is told of a slur hold the truth at that rate: simulated slurs
//! (`support/takes.rs`), dry, in a room and in a hall, of seeds that nothing was chosen on.
#![allow(clippy::print_stdout)]

mod support;

use ear::{HeardSlur, Measure, Settings, hear};
use support::takes::{RATE, SlurTruth, Take};
use support::{score, takes};

const SEEDS: [u64; 2] = [401, 402];

/// What is told and what is true of one kind of measure.
#[derive(Default)]
struct Told {
    errors: Vec<(f64, f64)>,
}

impl Told {
    fn add(&mut self, told: Option<Measure>, truth: f64) {
        if let Some(Measure::Known { value, uncertainty }) = told {
            self.errors.push((value - truth, uncertainty));
        }
    }

    /// Share of the intervals that hold the truth, percent.
    fn held(&self, take: &str, what: &str) -> f64 {
        let inside = self.errors.iter().filter(|(e, u)| e.abs() <= 1.96 * u);
        let share = 100.0 * inside.count() as f64 / self.errors.len() as f64;
        let middle = |mut values: Vec<f64>| {
            values.sort_by(f64::total_cmp);
            values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
        };
        println!(
            "{take}: {what}: {share:.1} % of {} intervals hold the truth; median error {:.2}, size {:.2}, half interval {:.2}",
            self.errors.len(),
            middle(self.errors.iter().map(|(e, _)| *e).collect()),
            middle(self.errors.iter().map(|(e, _)| e.abs()).collect()),
            middle(self.errors.iter().map(|(_, u)| 1.96 * u).collect()),
        );
        share
    }
}

/// The level of a take as it was played, over whole periods of `hz` that last 8 ms or more, dB.
fn level_db(dry: &Take, at_s: f64, hz: f64) -> f64 {
    let half = 0.5 * (0.008 * hz).ceil() / hz;
    between_db(dry, at_s - half, at_s + half)
}

fn between_db(dry: &Take, from_s: f64, to_s: f64) -> f64 {
    let part = &dry.sound[takes::at(from_s)..takes::at(to_s).min(dry.sound.len())];
    10.0 * (part.iter().map(|x| x * x).sum::<f64>() / part.len() as f64).log10()
}

/// How far the player let the sound fall in a change, below the quieter of the two notes.
fn true_dip_db(dry: &Take, slur: &SlurTruth) -> f64 {
    let hz = slur.old_hz.min(slur.new_hz);
    let steps = ((slur.to_s - slur.from_s + 0.03) / 0.001) as usize;
    let low = (0..steps)
        .map(|k| level_db(dry, slur.from_s - 0.015 + 0.001 * k as f64, hz))
        .fold(f64::MAX, f64::min);
    let before = between_db(dry, slur.from_s - 0.08, slur.from_s - 0.02);
    let after = between_db(dry, slur.to_s + 0.02, slur.to_s + 0.08);
    (before.min(after) - low).max(0.0)
}

/// How far the pitch went past the new note's middle in the first tenth of a second.
fn true_overshoot_cents(take: &Take, slur: &SlurTruth, heard: &HeardSlur, middle_hz: f64) -> f64 {
    let up = if slur.new_hz > slur.old_hz { 1.0 } else { -1.0 };
    let from = takes::at(heard.entered_s.max(slur.to_s));
    let to = from + (0.1 * RATE) as usize;
    take.hz[from..to.min(take.hz.len())]
        .iter()
        .filter(|hz| **hz > 0.0)
        .map(|hz| up * 1200.0 * (hz / middle_hz).log2())
        .filter(|cents| cents.abs() < 100.0)
        .fold(0.0, f64::max)
}

/// Times of clean slurs, holds of caught ones, dips and overshoots.
fn told(take: &Take, dry: &Take) -> [Told; 4] {
    let heard = hear(&take.samples(), Some(&take.expected), &Settings::default());
    let [mut times, mut holds, mut dips, mut overshoots]: [Told; 4] = Default::default();
    for slur in &take.slurs {
        let middle = f64::midpoint(slur.from_s, slur.to_s);
        let hit = heard
            .slurs
            .iter()
            .find(|s| (f64::midpoint(s.left_s, s.entered_s) - middle).abs() < 0.08);
        let Some(hit) = hit else {
            continue;
        };
        dips.add(Some(hit.dip_db), true_dip_db(dry, slur));
        if let Some(new) = heard.notes.get(hit.to) {
            let truth = true_overshoot_cents(take, slur, hit, new.hz);
            overshoots.add(Some(hit.overshoot_cents), truth);
        }
        if slur.caught {
            let hold = hit.caught.first().map(|c| c.held_ms);
            holds.add(hold, 1000.0 * slur.hold_s);
        } else {
            times.add(Some(hit.slur_ms), score::true_slur_ms(take, slur));
        }
    }
    [times, holds, dips, overshoots]
}

#[test]
fn the_intervals_of_a_slur_hold_the_truth() {
    const WHAT: [&str; 4] = ["slur time, ms", "hold, ms", "dip, dB", "overshoot, cents"];
    let mut failed = Vec::new();
    for room in 0..3 {
        let mut all: [Told; 4] = Default::default();
        let mut name = "";
        for seed in SEEDS {
            let takes = takes::slurred(seed);
            if let (Some(take), Some(dry)) = (takes.get(room), takes.first()) {
                name = take.name;
                for (sum, some) in all.iter_mut().zip(told(take, dry)) {
                    sum.errors.extend(some.errors);
                }
            }
        }
        for (told, what) in all.iter().zip(WHAT) {
            if told.errors.is_empty() {
                println!("{name}: {what}: not told");
                continue;
            }
            // Two standard deviations of such a count: 3.7 % of 140 slurs.
            let chance = 100.0 * (0.95 * 0.05 / told.errors.len() as f64).sqrt();
            if told.held(name, what) < 95.0 - 2.0 * chance {
                failed.push(format!("{name}: {what}"));
            }
        }
    }
    assert!(failed.is_empty(), "{failed:?}");
}
