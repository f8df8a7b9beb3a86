//! The whole library for every instrument at six levels: thousands of parts on one core.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use routine::{Levels, Player, expand, library};
use tone::Tuning;

fn whole_library(c: &mut Criterion) {
    let levels = Levels::standard();
    let instruments: Vec<_> = horn::catalog()
        .iter()
        .map(|instrument| {
            (
                instrument,
                horn::ideal::chart(instrument, &Tuning::default()),
            )
        })
        .collect();
    let players: Vec<Player> = levels
        .levels
        .iter()
        .map(|level| Player {
            level: Some(level.id.clone()),
            ..Player::named("")
        })
        .collect();
    let parts = library::exercises().len() * instruments.len() * players.len();
    let mut group = c.benchmark_group("whole library x all instruments x 6 levels");
    group.sample_size(10);
    group.bench_function(format!("{parts} parts"), |b| {
        b.iter(|| {
            let mut notes = 0;
            for (instrument, chart) in &instruments {
                for player in &players {
                    for exercise in library::exercises() {
                        if let Ok(part) = expand(exercise, player, instrument, chart, &levels, 1) {
                            notes += black_box(part).lines.len();
                        }
                    }
                }
            }
            notes
        });
    });
    group.finish();
}

criterion_group!(benches, whole_library);
criterion_main!(benches);
