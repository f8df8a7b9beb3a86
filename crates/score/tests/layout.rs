//! The whole library on paper: on every page the text is seen and in place, nothing lies on
//! anything else, and pages are full before the next one begins.
//!
//! A few instruments that differ most (clef, transposition, valves or slide, length of labels) by
//! default; all of them with `cargo test -p score --test layout -- --ignored`.
#![cfg(feature = "engrave")]
#![allow(clippy::unwrap_used)]

mod support;

use horn::Instrument;
use routine::{Levels, Player, expand, library};
use score::engrave;
use score::layout::Layout;
use support::ink;
use tone::Tuning;

/// Treble with three valves; bass with a slide and one trigger or two; two sides and four digits;
/// low notes far below the staff.
const SAMPLE: [&str; 5] = [
    "trumpet-bflat",
    "trombone-tenor-f",
    "trombone-bass",
    "horn-double",
    "tuba-eflat-comp",
];

/// Share of a page that must be filled before the next one begins: what comes next is a system or
/// an exercise's heading with its first system, never more than a third of a page.
const LEAST_FILLED: f32 = 0.55;

/// What is wrong with the pages of an instrument.
fn look(instrument: &Instrument, layout: &Layout) -> Vec<String> {
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    let (player, levels) = (Player::named("Mira Sandoval"), Levels::standard());
    let mut wrong = Vec::new();
    for exercise in library::exercises() {
        let part = expand(exercise, &player, instrument, &chart, &levels, 0).unwrap();
        if part.lines.is_empty() {
            continue;
        }
        let pages = engrave::svg_pages(&part, layout).unwrap();
        for (index, page) in pages.iter().enumerate() {
            let mut add = |what: String| {
                wrong.push(format!(
                    "{} on {}, page {}: {what}",
                    exercise.id,
                    instrument.id,
                    index + 1
                ));
            };
            let tree = ink::tree(page);
            if let Err(what) = ink::look_at_texts(&tree) {
                add(what);
            }
            if let Some((place, points)) = ink::text_on_music(page) {
                add(format!("text and music meet at {place:?}, {points} points"));
            }
            if index + 1 < pages.len() && ink::filled(&tree) < LEAST_FILLED {
                add(format!("only {:.0} % full", 100.0 * ink::filled(&tree)));
            }
        }
    }
    wrong
}

fn check<'i>(instruments: impl Iterator<Item = &'i Instrument>, layout: &Layout) {
    let wrong: Vec<String> = instruments.flat_map(|i| look(i, layout)).collect();
    assert!(
        wrong.is_empty(),
        "{} pages:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(40)].join("\n")
    );
}

#[test]
fn every_exercise_is_set_cleanly_on_instruments_that_differ_most() {
    let sample = SAMPLE.iter().map(|id| horn::catalog::find(id).unwrap());
    check(sample, &Layout::default());
}

#[test]
#[ignore = "every instrument takes minutes; `cargo test -p score --test layout -- --ignored`"]
fn every_exercise_is_set_cleanly_on_every_instrument() {
    check(horn::catalog().iter(), &Layout::default());
}

#[test]
#[ignore = "every instrument takes minutes; `cargo test -p score --test layout -- --ignored`"]
fn every_exercise_is_set_cleanly_in_large_print_on_letter() {
    let layout = Layout {
        paper: score::layout::Paper::Letter,
        ..Layout::default()
    };
    check(horn::catalog().iter(), &layout.large_print());
}
