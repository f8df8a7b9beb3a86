//! How long pages take: one part as SVG with a warm engraver, against the engraver by itself on
//! the same music; the whole library for two instruments as one book.
#![allow(missing_docs, clippy::unwrap_used, clippy::panic)]

#[path = "../tests/support/mod.rs"]
mod support;

use criterion::{Criterion, criterion_group, criterion_main};
use routine::part::{Event, Part};
use routine::{Levels, Player, expand, library};
use score::booklet::{Booklet, Chapter};
use score::engrave;
use score::layout::{Fingerings, Layout};
use score::musicxml::{self, Options};
use support::arpeggios;
use tone::Tuning;

fn one_part(c: &mut Criterion) {
    let mut group = c.benchmark_group("one part to SVG");
    let (part, layout) = (arpeggios(), Layout::default());
    group.bench_function("drawn before", |b| {
        b.iter(|| engrave::svg_pages(&part, &layout).unwrap());
    });
    let (mut changed, mut times) = (part.clone(), 0);
    group.bench_function("one line of eight new", |b| {
        b.iter(|| {
            // A note with an id of its own makes a line that was never drawn.
            let last = changed.lines.last_mut().unwrap();
            if let Some(Event::Note(note)) = last.events.first_mut() {
                times += 1;
                note.id = format!("n{times}");
            }
            engrave::svg_pages(&changed, &layout).unwrap()
        });
    });
    group.bench_function("every line new", |b| {
        b.iter(|| {
            engrave::forget();
            engrave::svg_pages(&part, &layout).unwrap()
        });
    });
    // The peer: the engraving library alone, its own page, no text around the staves.
    let mut options = Options::default();
    options.fingerings = Fingerings::Never;
    let document = musicxml::write(&part, &options).unwrap();
    let mut toolkit = verovio::Toolkit::new();
    group.bench_function("engraver alone", |b| {
        b.iter(|| {
            toolkit.load_data(&document).unwrap();
            (1..=toolkit.page_count())
                .map(|page| toolkit.render_to_svg(page).unwrap().len())
                .sum::<usize>()
        });
    });
    group.finish();
}

/// Every exercise of the library for an instrument.
fn whole_library(instrument: &str) -> Vec<Part> {
    let instrument = horn::catalog::find(instrument).unwrap();
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    let (player, levels) = (Player::named("Mira Sandoval"), Levels::standard());
    library::exercises()
        .iter()
        .map(|exercise| expand(exercise, &player, instrument, &chart, &levels, 0).unwrap())
        .filter(|part| !part.lines.is_empty())
        .collect()
}

fn book(c: &mut Criterion) {
    let mut group = c.benchmark_group("book to PDF");
    group.sample_size(10);
    let mut parts = whole_library("trumpet-bflat");
    parts.extend(whole_library("trombone-tenor-f"));
    let layout = Layout::default();
    let pages: usize = parts
        .iter()
        .map(|part| engrave::svg_pages(part, &layout).unwrap().len())
        .sum();
    let book = Booklet {
        title: "A year of mornings",
        subtitle: "The whole library, twice",
        player: "Mira Sandoval",
        chart: None,
        chapters: vec![Chapter::plain(parts.iter().collect())],
    };
    group.bench_function(format!("{pages} pages of music, every line new"), |b| {
        b.iter(|| {
            engrave::forget();
            engrave::booklet(&book, &layout).unwrap().len()
        });
    });
    group.finish();
    engrave::clean_up().unwrap();
}

criterion_group!(benches, one_part, book);
criterion_main!(benches);
