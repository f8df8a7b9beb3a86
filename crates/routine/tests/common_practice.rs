//! Worked cases of the trade. Common practice, no source.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use routine::exercise::{Exercise, Move, MoveWord, Order, Roof, Travel};
use routine::file::read_exercise;
use routine::{Levels, Part, Player, expand};
use tone::Tuning;

const ONE_ROOF: &str = include_str!("../library/arpeggios-one-roof-major.toml");

fn exercise() -> Exercise {
    read_exercise(ONE_ROOF).into_result().unwrap()
}

fn part(exercise: &Exercise, player: &Player, instrument: &str) -> Part {
    let instrument = horn::catalog::find(instrument).unwrap();
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    expand(exercise, player, instrument, &chart, &Levels::standard(), 1).unwrap()
}

fn written(part: &Part) -> Vec<Vec<String>> {
    part.lines
        .iter()
        .map(|line| line.notes().map(|n| n.written.to_string()).collect())
        .collect()
}

fn travel(from: &str, to: &str, by: MoveWord) -> Travel {
    Travel::Moves {
        from: from.parse().unwrap(),
        to: to.parse().unwrap(),
        by: Move::Word(by),
        order: Order::Straight,
        root: None,
    }
}

#[test]
fn from_c4_the_line_takes_in_two_octaves_and_comes_back() {
    let mut exercise = exercise();
    exercise.travel = travel("C4", "F#3", MoveWord::Semitone);
    let part = part(&exercise, &Player::named(""), "trumpet-bflat");
    assert_eq!(
        written(&part)[0],
        [
            "C4", "E4", "G4", "C5", "E5", "G5", "C6", "G5", "E5", "C5", "G4", "E4", "C4"
        ]
    );
}

#[test]
fn each_line_under_c6_ends_on_the_highest_chord_note_under_the_roof() {
    let mut exercise = exercise();
    exercise.travel = travel("C4", "F3", MoveWord::Semitone);
    exercise.turn = routine::exercise::Turn::Stay;
    let mut player = Player::named("");
    player.pedals = true;
    player.false_notes = true;
    let part = part(&exercise, &player, "trumpet-bflat");
    let ends: Vec<(String, String)> = written(&part)
        .iter()
        .map(|line| (line[0].clone(), line.last().unwrap().clone()))
        .collect();
    let want = [
        ("C4", "C6"),
        ("B3", "B5"),
        ("Bb3", "Bb5"),
        ("A3", "A5"),
        ("Ab3", "C6"),
        ("G3", "B5"),
        ("Gb3", "Bb5"),
        ("F3", "C6"),
    ];
    let want: Vec<(String, String)> = want
        .iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect();
    assert_eq!(ends, want);
}

#[test]
fn starts_on_the_chord_notes_of_one_key_give_ever_longer_lines() {
    let mut exercise = exercise();
    exercise.travel = travel("C6", "C3", MoveWord::Harmony);
    exercise.turn = routine::exercise::Turn::Stay;
    let mut player = Player::named("");
    player.pedals = true;
    player.false_notes = true;
    let part = part(&exercise, &player, "trumpet-bflat");
    let lines = written(&part);
    let lengths: Vec<usize> = lines.iter().map(Vec::len).collect();
    assert_eq!(lengths, [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    assert_eq!(lines[0], ["C6"]);
    assert_eq!(
        lines[9],
        ["C3", "E3", "G3", "C4", "E4", "G4", "C5", "E5", "G5", "C6"]
    );
    assert!(lines.iter().all(|l| l.last().unwrap() == "C6"));
}

#[test]
fn the_same_exercise_lies_on_the_same_partials_of_every_tube() {
    let mut exercise = exercise();
    exercise.travel = travel("C5", "C5", MoveWord::Semitone);
    exercise.roof = Some(Roof::At("G5".parse().unwrap()));
    for (id, sounding) in [
        ("trumpet-bflat", ["Bb4", "D5", "F5", "D5", "Bb4"]),
        ("trombone-tenor", ["Bb3", "D4", "F4", "D4", "Bb3"]),
        ("tuba-f", ["F3", "A3", "C4", "A3", "F3"]),
        ("horn-double", ["F4", "A4", "C5", "A4", "F4"]),
    ] {
        let part = part(&exercise, &Player::named(""), id);
        let line = part
            .lines
            .first()
            .unwrap_or_else(|| panic!("{id}: {:?}", part.left_out));
        let heard: Vec<String> = line.notes().map(|n| n.sounding.to_string()).collect();
        assert_eq!(heard, sounding, "{id}");
    }
}

#[test]
fn the_seven_lengths_cover_the_chromatic_scale_with_overlaps() {
    let text = ONE_ROOF
        .replace("harmony = \"major-triad\"\n", "")
        .replace(
            "{ degrees = [1, 3, 5, 8] }",
            "{ partials = [2, 3, 4, 5, 6, 8] }",
        )
        .replace(
            "{ from = \"C5\", to = \"F#3\", by = \"semitone\" }",
            "{ lengths = [0, 6] }",
        )
        .replace("carry = \"octaves\"\n", "");
    let exercise = read_exercise(&text).into_result().unwrap();
    let part = part(&exercise, &Player::named(""), "trumpet-bflat");
    assert_eq!(part.lines.len(), 7, "{:?}", part.left_out);
    let mut labels = Vec::new();
    let mut keys = Vec::new();
    for line in &part.lines {
        let mut of_line: Vec<&str> = line.notes().map(|n| n.fingering.label.as_str()).collect();
        of_line.dedup();
        assert_eq!(
            of_line.len(),
            1,
            "a natural-series line stays on one length"
        );
        labels.push(of_line[0].to_owned());
        keys.extend(line.notes().map(|n| n.written.midi()));
    }
    assert_eq!(labels, ["0", "2", "1", "1-2", "2-3", "1-3", "1-2-3"]);
    let reached = keys.len();
    keys.sort_unstable();
    keys.dedup();
    // Written F#3 to C6, chromatic from the 1-2-3 partial 2 on except where partial 7 would be.
    assert!(keys.len() < reached, "overlaps");
    assert!((54..=84).all(|k| keys.contains(&k)), "{keys:?}");
}
