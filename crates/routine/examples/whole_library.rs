//! The whole library for every instrument at every level, as many times as asked: parts, seconds
//! and peak memory. `cargo run --release -p routine --example whole_library -- 10`
#![allow(clippy::print_stdout)]

use std::time::Instant;

use routine::{Levels, Player, expand, library};
use tone::Tuning;

fn main() {
    let times: usize = std::env::args()
        .nth(1)
        .and_then(|text| text.parse().ok())
        .unwrap_or(1);
    let levels = Levels::standard();
    let start = Instant::now();
    let (mut parts, mut notes) = (0_usize, 0_usize);
    for _ in 0..times {
        for instrument in horn::catalog() {
            let chart = horn::ideal::chart(instrument, &Tuning::default());
            for level in &levels.levels {
                let player = Player {
                    level: Some(level.id.clone()),
                    ..Player::named("")
                };
                for exercise in library::exercises() {
                    if let Ok(part) = expand(exercise, &player, instrument, &chart, &levels, 1) {
                        parts += 1;
                        notes += part.lines.iter().map(|l| l.notes().count()).sum::<usize>();
                    }
                }
            }
        }
    }
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "{times} times: {parts} parts, {notes} notes in {seconds:.2} s, {:.2} s each time, peak {}",
        seconds / times.max(1) as f64,
        peak()
    );
}

/// Peak resident memory, where the system tells it.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(
        || "not known here".to_owned(),
        |text| text.trim().to_owned(),
    )
}
