//! How long pages take: one part as SVG with a warm engraver, against the engraver by itself on
//! the same music; a book of about a hundred pages as PDF.
#![allow(missing_docs, clippy::unwrap_used, clippy::panic)]

#[path = "../tests/support/mod.rs"]
mod support;

use criterion::{Criterion, criterion_group, criterion_main};
use score::booklet::{Booklet, Chapter};
use score::engrave;
use score::layout::{Fingerings, Layout};
use score::musicxml::{self, Options};
use support::{arpeggios, slurs};

fn one_part(c: &mut Criterion) {
    let mut group = c.benchmark_group("one part to SVG");
    let (part, layout) = (arpeggios(), Layout::default());
    group.bench_function("score", |b| {
        b.iter(|| engrave::svg_pages(&part, &layout).unwrap());
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

fn book(c: &mut Criterion) {
    let mut group = c.benchmark_group("book to PDF");
    group.sample_size(10);
    let (one, two) = (arpeggios(), slurs());
    let parts = [&one, &two].into_iter().cycle().take(98).collect();
    let book = Booklet {
        title: "A year of mornings",
        subtitle: "Ninety-eight exercises",
        player: "Mira Sandoval",
        chart: None,
        chapters: vec![Chapter::plain(parts)],
    };
    let layout = Layout::default();
    group.bench_function("98 parts, cover and contents", |b| {
        b.iter(|| engrave::booklet(&book, &layout).unwrap().len());
    });
    group.finish();
    engrave::clean_up().unwrap();
}

criterion_group!(benches, one_part, book);
criterion_main!(benches);
