//! First choices against the fingering charts that learners are given.
//!
//! The tables under `data/` are common practice, no source, written down from memory: one note of the
//! usual reading and its fingering or position a line.

// Helpers of tests may unwrap and panic, as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use horn::{Instrument, NoteKind};
use tone::{Sounding, Tuning, Written};

struct Table {
    instrument: &'static Instrument,
    rows: Vec<(Written, &'static str)>,
}

fn read(text: &'static str) -> Table {
    let mut lines = text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty());
    let id = lines
        .next()
        .and_then(|line| line.strip_prefix("instrument "))
        .unwrap_or("");
    let Some(instrument) = horn::catalog::find(id) else {
        panic!("no instrument {id}")
    };
    let row = |line: &'static str| {
        let (note, label) = line.split_once(' ')?;
        Some((note.parse().ok()?, label.trim()))
    };
    let rows = lines.map(|line| row(line).unwrap_or_else(|| panic!("{id}: {line}")));
    Table {
        instrument,
        rows: rows.collect(),
    }
}

/// Every row's first choice, and a row for every semitone from the first to the last.
fn check(text: &'static str) {
    let Table { instrument, rows } = read(text);
    let transposition = instrument
        .usual_reading()
        .map(|r| r.transposition)
        .unwrap_or_default();
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    let mut expected_key = None;
    let mut differences = Vec::new();
    for (written, label) in rows {
        let Sounding(sounding) = transposition.sounding(written);
        let key = sounding.midi();
        assert_eq!(
            key,
            expected_key.unwrap_or(key),
            "{}: a note is missing before {written}",
            instrument.id
        );
        expected_key = Some(key + 1);
        match chart.ways(key).first() {
            Some(way) if way.label == label => {
                assert_eq!((way.rank, way.kind), (0, NoteKind::Partial));
            }
            way => differences.push(format!(
                "{written}: {label}, got {:?}",
                way.map(|w| &w.label)
            )),
        }
    }
    assert!(
        differences.is_empty(),
        "{}: {differences:#?}",
        instrument.id
    );
}

#[test]
fn trumpet() {
    check(include_str!("data/trumpet-bflat.txt"));
}

#[test]
fn double_horn() {
    check(include_str!("data/horn-double.txt"));
}

#[test]
fn euphoniums() {
    check(include_str!("data/euphonium-3.txt"));
    check(include_str!("data/euphonium-4.txt"));
    check(include_str!("data/euphonium-comp.txt"));
}

#[test]
fn tubas() {
    check(include_str!("data/tuba-bflat.txt"));
    check(include_str!("data/tuba-eflat-comp.txt"));
}

#[test]
fn trombones() {
    check(include_str!("data/trombone-tenor.txt"));
    check(include_str!("data/trombone-tenor-f.txt"));
}
