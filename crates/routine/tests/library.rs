//! The library is whole: every file listed, readable, explained and playable by somebody.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use std::collections::{BTreeMap, BTreeSet};

use routine::exercise::Family;
use routine::file::read_exercise;
use routine::{Levels, Player, expand, library};
use tone::Tuning;

#[test]
fn every_file_of_the_folder_is_in_the_list() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/library");
    let files: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    let listed: BTreeSet<String> = library::SOURCES
        .iter()
        .map(|(id, _)| format!("{id}.toml"))
        .collect();
    assert_eq!(files, listed);
}

#[test]
fn every_exercise_reads_without_a_word_and_says_what_it_is_for() {
    for (id, text) in library::SOURCES {
        let parsed = read_exercise(text);
        assert!(
            parsed.diagnostics.is_empty(),
            "{id}: {:#?}",
            parsed.diagnostics
        );
        let exercise = parsed.value.unwrap();
        assert_eq!(exercise.id, *id);
        assert!(exercise.id.starts_with(exercise.family.name()), "{id}");
        assert!(!exercise.cautions.is_empty(), "{id} has no caution");
        assert!(
            exercise.purpose.ends_with('.'),
            "{id}: purpose is a sentence"
        );
    }
}

#[test]
fn the_reader_agrees_with_the_serde_shape() {
    for (id, text) in library::SOURCES {
        let by_hand = read_exercise(text).value.unwrap();
        let by_serde: routine::Exercise =
            toml::from_str(text).unwrap_or_else(|e| panic!("{id}: {e}"));
        assert_eq!(by_hand, by_serde, "{id}");
        let json = serde_json::to_string(&by_hand).unwrap();
        assert_eq!(
            serde_json::from_str::<routine::Exercise>(&json).unwrap(),
            by_hand,
            "{id}"
        );
    }
}

#[test]
fn there_are_at_least_forty_in_eight_families_and_no_title_twice() {
    assert!(library::exercises().len() >= 40);
    let mut titles = BTreeSet::new();
    for exercise in library::exercises() {
        assert!(titles.insert(&exercise.title), "{} twice", exercise.title);
    }
    for family in Family::ALL {
        assert!(library::family(family).count() >= 5, "{family:?}");
    }
}

/// On every instrument, a player of the fourth level gets lines from most of the library, and
/// what is missing has a reason.
#[test]
fn every_instrument_gets_lines_or_reasons() {
    let levels = Levels::standard();
    let mut empty: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        let mut player = Player::named("");
        player.level = Some("fourth".to_owned());
        for exercise in library::exercises() {
            let part = expand(exercise, &player, instrument, &chart, &levels, 7).unwrap();
            if part.lines.is_empty() {
                assert!(
                    !part.left_out.is_empty(),
                    "{} on {}",
                    exercise.id,
                    instrument.id
                );
                empty
                    .entry(exercise.id.as_str())
                    .or_default()
                    .push(&instrument.id);
            }
        }
    }
    println!("{empty:#?}");
    for (exercise, on) in &empty {
        let asks_for_pedals =
            ["range-pedals-by-semitone", "range-octaves-to-pedal"].contains(exercise);
        assert!(
            asks_for_pedals || on.len() <= 2,
            "{exercise} leaves nothing on {on:?}"
        );
    }
}

/// Someone in the first weeks finds at least two exercises of every family but range, whatever
/// the instrument.
#[test]
fn a_beginner_finds_something_to_play_in_every_family() {
    let levels = Levels::standard();
    for instrument in horn::catalog() {
        let player = Player {
            level: Some("first".to_owned()),
            ..Player::named("Beginner")
        };
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        let mut playable: BTreeMap<Family, usize> = BTreeMap::new();
        for exercise in library::exercises() {
            let part = expand(exercise, &player, instrument, &chart, &levels, 0);
            if !part.unwrap().lines.is_empty() {
                *playable.entry(exercise.family).or_default() += 1;
            }
        }
        for family in Family::ALL {
            let least = if family == Family::Range { 1 } else { 2 };
            let found = playable.get(&family).copied().unwrap_or_default();
            assert!(found >= least, "{}: {found} in {family:?}", instrument.id);
        }
    }
}
