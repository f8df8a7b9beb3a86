//! Recorded takes of players who begin again: from the top, or some notes back.
//!
//! Looks for `../shared/data/brass` beside the clone and says so when it is absent.
#![allow(clippy::expect_used)]

mod support;

use ear::Samples;
use ear::input::{Options, from_bytes};
use ear::report::{Asked, Whole, whole_of_input};
use ear::verdict::VerdictKind;
use support::brass::{expected, folder, midi, number, table};

/// Notes of a take, by their places as played: each with its sound up to the next one's beginning.
fn played(name: &str, places: &[usize]) -> Option<Whole> {
    let file = folder()?.join("takes").join(name);
    let rows = table(&file.with_extension("tsv"));
    let bytes = std::fs::read(file.with_extension("flac")).expect("the take is there");
    let mut input = from_bytes(&bytes, &Options::default()).expect("it is sound");
    let whole = input.samples.clone();
    let begins = |i: usize| {
        rows.get(i)
            .map_or(whole.seconds(), |row| number(row, "onset_s") - 0.06)
    };
    let mut data = whole.between(0.0, begins(0)).to_vec();
    for place in places {
        data.extend_from_slice(whole.between(begins(*place), begins(place + 1)));
    }
    data.extend_from_slice(whole.between(0.0, begins(0)));
    input.samples = Samples::new(whole.rate, data);
    let asked = Asked {
        expected: Some(&expected(&rows)),
        ..Asked::default()
    };
    Some(whole_of_input(&input, &asked))
}

/// Plays notes of a take in runs: each is heard as a pass of its own, note by note.
fn check(name: &str, runs: &[std::ops::Range<usize>]) {
    let places: Vec<usize> = runs.iter().cloned().flatten().collect();
    let Some(whole) = played(name, &places) else {
        return;
    };
    let found: Vec<(usize, usize)> = whole
        .heard
        .notes
        .iter()
        .filter_map(|note| note.place.map(|place| (place.pass, place.note)))
        .collect();
    let all = runs.iter().cloned().enumerate();
    let asked: Vec<(usize, usize)> = all
        .flat_map(|(pass, run)| run.map(move |note| (pass, note)))
        .collect();
    let notes = &whole.heard.notes;
    let near = notes
        .iter()
        .map(|n| (n.place, n.onset_s, n.offset_s, midi(n.hz)));
    assert_eq!(
        found,
        asked,
        "{name} {runs:?} {:#?}",
        near.collect::<Vec<_>>()
    );
    let verdict = whole.report.verdict;
    assert_eq!(
        verdict.kind,
        VerdictKind::AsAsked,
        "{name} {runs:?}: {verdict:?}"
    );
}

const TAKES: [(&str, usize); 5] = [
    ("trumpet_amateur_scale_Bb", 29),
    ("trumpet_vsco_chromatic_rs", 33),
    ("horn_vsco_scale_F_detuned", 15),
    ("trombone_vsco_scale_Bb_detuned", 15),
    ("tuba_vsco_chromatic_rs", 30),
];

#[test]
fn a_line_begun_again_from_the_top() {
    for (name, count) in TAKES {
        for before in [1, 3, 7] {
            check(name, &[0..before, 0..count]);
        }
    }
}

#[test]
fn a_line_gone_back_into() {
    for (name, count) in TAKES {
        check(name, &[0..7, 4..count]);
        check(name, &[0..5, 3..9, 6..count]);
    }
}

#[test]
fn a_line_played_twice() {
    for (name, count) in TAKES {
        check(name, &[0..count, 0..count]);
    }
}
