//! Prints how far the two moments that bound a slur lie from where simulated changes begin and end, each
//! found from the notes' own harmonics with the true pitches given:
//! `cargo run -p ear --example slur_edges -- 11 12 13 14`.
//!
//! What is printed is the truth less what was found, so that `thresholds::SLUR_ENTERED_S` and
//! `SLUR_LEFT_S` are right when the middles are 0; half of the changes lie within the second figure.
#![allow(missing_docs, clippy::print_stdout)] // A program for developers.

#[path = "../tests/support/mod.rs"]
mod support;

use ear::signal::{halved, working};
use ear::slur::Edges;
use ear::thresholds as t;
use support::edges::median;
use support::takes::{self, Take};

/// The moments of every slur of a take against the truth, ms: the new note there, the old one left.
fn moments(take: &Take) -> (Vec<f64>, Vec<f64>) {
    let sound = halved(&working(&take.samples()));
    let place = |s: f64| ((s.max(0.0) * sound.rate).round() as usize).min(sound.data.len());
    let (mut entered, mut left) = (Vec::new(), Vec::new());
    for slur in &take.slurs {
        let middle = f64::midpoint(slur.from_s, slur.to_s);
        // The notes before and after end where their other changes do.
        let after = |s: &&f64| **s > middle + 1e-6;
        let before = |s: &&f64| **s < middle - 1e-6;
        let began = take.onsets.iter().rev().find(before).copied();
        let ends = take.offsets.iter().find(after).copied();
        let (began, ends) = (began.unwrap_or(0.0), ends.unwrap_or(f64::MAX));
        let search = (
            (middle - t::SLUR_REACH_S).max(began + t::SLUR_NOTE_LEAST_S),
            (middle + t::SLUR_REACH_S).min(ends - t::SLUR_NOTE_LEAST_S),
        );
        let from = place((search.0 - t::SLUR_BESIDE_S).max(began));
        let to = place((search.1 + t::SLUR_BESIDE_S).min(ends));
        let found = Edges::find(
            &sound.data[from..to.max(from)],
            sound.rate,
            from as f64 / sound.rate,
            search,
            slur.old_hz,
            slur.new_hz,
        );
        entered.extend(found.entered_s.map(|at| 1000.0 * (slur.to_s - at)));
        left.extend(found.left_s.map(|at| 1000.0 * (slur.from_s - at)));
    }
    (entered, left)
}

fn main() {
    let seeds: Vec<u64> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    for room in 0..3 {
        let (mut entered, mut left) = (Vec::new(), Vec::new());
        let (mut name, mut count) = ("", 0);
        for seed in &seeds {
            if let Some(take) = takes::slurred(*seed).get(room) {
                let (e, l) = moments(take);
                entered.extend(e);
                left.extend(l);
                (name, count) = (take.name, count + take.slurs.len());
            }
        }
        println!("{name}: {count} slurs");
        for (what, found) in [("new note there", entered), ("old note left", left)] {
            let middle = median(found.clone());
            let away = |centre: f64| median(found.iter().map(|x| (x - centre).abs()).collect());
            println!(
                "  {what}: {} found, middle {middle:+.1} ms, half within {:.1} ms of it, {:.1} ms of 0",
                found.len(),
                away(middle),
                away(0.0)
            );
        }
    }
}
