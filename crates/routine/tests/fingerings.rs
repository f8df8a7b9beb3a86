//! Fingerings against the charts that learners are given (common practice, no source), and the
//! list of what the optimiser does otherwise on purpose.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use std::collections::BTreeMap;
use std::fmt::Write as _;

use horn::{Chart, Instrument};
use routine::file::read_exercise;
use routine::fingering::{Allowed, Asked, Motions, Weights, choose};
use routine::{Levels, Player, expand, library};
use tone::{Cents, Tuning, Written};

/// A published chart: instrument id, and label by written note of the usual reading.
fn tables() -> Vec<(String, Vec<(Written, String)>)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../horn/tests/data");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| {
            let text = std::fs::read_to_string(path).unwrap();
            let mut id = String::new();
            let mut rows = Vec::new();
            for line in text
                .lines()
                .map(str::trim)
                .filter(|l| !l.is_empty() && !l.starts_with('#'))
            {
                let (a, b) = line.split_once(char::is_whitespace).unwrap();
                if a == "instrument" {
                    b.trim().clone_into(&mut id);
                } else {
                    let label = b.split_whitespace().next().unwrap();
                    rows.push((a.parse().unwrap(), label.to_owned()));
                }
            }
            (id, rows)
        })
        .collect()
}

fn instrument(id: &str) -> (&'static Instrument, Chart) {
    let instrument = horn::catalog::find(id).unwrap();
    (
        instrument,
        horn::ideal::chart(instrument, &Tuning::default()),
    )
}

fn asked(key: i32, slurred: bool, before_s: f64) -> Asked {
    Asked {
        key,
        offset: Cents(0.0),
        slurred,
        before_s,
    }
}

#[test]
fn a_note_by_itself_and_a_slow_scale_follow_the_published_charts() {
    let tables = tables();
    assert!(tables.len() >= 5);
    let mut notes = 0;
    for (id, rows) in tables {
        let (instrument, chart) = instrument(&id);
        let motions = Motions::of(instrument);
        let reading = instrument.usual_reading().unwrap();
        let weights = Weights::default();
        let allowed = Allowed::default();
        let keys: Vec<i32> = rows
            .iter()
            .map(|(w, _)| reading.transposition.sounding(*w).midi())
            .collect();
        let slow: Vec<Asked> = keys.iter().map(|&k| asked(k, false, 1.0)).collect();
        let scale = choose(&slow, &chart, &motions, allowed, &weights).unwrap();
        for (((written, label), key), in_scale) in rows.iter().zip(&keys).zip(&scale) {
            let alone = choose(
                &[asked(*key, false, 1.0)],
                &chart,
                &motions,
                allowed,
                &weights,
            )
            .unwrap();
            assert_eq!(
                alone[0].label, *label,
                "{id} {written}: {}",
                alone[0].reason
            );
            assert_eq!(
                in_scale.label, *label,
                "{id} {written} in a slow scale: {}",
                in_scale.reason
            );
            notes += 1;
        }
    }
    assert!(notes > 200, "{notes}");
}

/// Run with `PUBLISH=1` to write the list anew, then read it.
#[test]
fn what_the_optimiser_does_otherwise_is_listed_with_its_reason() {
    let levels = Levels::standard();
    let mut list: BTreeMap<(String, i32, String), (usize, String)> = BTreeMap::new();
    let mut all = 0;
    for (id, _) in tables() {
        let (instrument, chart) = instrument(&id);
        let mut player = Player::named("");
        player.level = Some("sixth".to_owned());
        for exercise in library::exercises() {
            let part = expand(exercise, &player, instrument, &chart, &levels, 1).unwrap();
            for note in part.lines.iter().flat_map(routine::part::Line::notes) {
                all += 1;
                let f = &note.fingering;
                if f.reason.contains("rather than") {
                    assert!(f.alternate);
                    let what = format!("{} {}", note.written, f.reason.split(':').next().unwrap());
                    let seen = list
                        .entry((id.clone(), note.written.midi(), what))
                        .or_insert_with(|| {
                            (
                                0,
                                format!(
                                    "{} ({})",
                                    f.reason.split_once(": ").unwrap().1,
                                    exercise.id
                                ),
                            )
                        });
                    seen.0 += 1;
                }
            }
        }
    }
    let differ: usize = list.values().map(|(n, _)| n).sum();
    let mut text = format!(
        "# Notes of the library, at the quickest level, that do not get the published first choice.\n\
         # {differ} of {all} notes. Each is a choice on purpose: what it gains in its place stands behind it.\n\
         # instrument, written note, choice, how often, first place\n\n"
    );
    for ((id, _, what), (count, why)) in &list {
        writeln!(text, "{id}: {what}: {count} times, first: {why}").unwrap();
    }
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/otherwise_on_purpose.txt"
    );
    if std::env::var_os("PUBLISH").is_some() {
        std::fs::write(path, &text).unwrap();
    }
    assert_eq!(
        std::fs::read_to_string(path).unwrap(),
        text,
        "read and publish the list anew"
    );
    assert!(
        differ * 20 < all,
        "alternates are the exception: {differ} of {all}"
    );
}

#[test]
fn natural_series_slurs_stay_on_one_length_on_every_instrument() {
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for exercise in library::family(routine::exercise::Family::NaturalSlurs) {
            let part = expand(
                exercise,
                &Player::named(""),
                instrument,
                &chart,
                &Levels::standard(),
                0,
            )
            .unwrap();
            for line in &part.lines {
                let mut lengths: Vec<_> = line.notes().map(|n| n.fingering.length).collect();
                lengths.dedup();
                assert_eq!(lengths.len(), 1, "{} {}", exercise.id, instrument.id);
            }
        }
    }
}

#[test]
fn every_choice_is_a_way_of_the_chart_and_has_a_reason() {
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for exercise in library::exercises() {
            let part = expand(
                exercise,
                &Player::named(""),
                instrument,
                &chart,
                &Levels::standard(),
                0,
            )
            .unwrap();
            for note in part.lines.iter().flat_map(routine::part::Line::notes) {
                let f = &note.fingering;
                assert!(!f.reason.is_empty());
                let length = instrument.length(f.length).unwrap();
                assert_eq!(length.label, f.label);
                let reading = instrument.usual_reading().unwrap();
                assert_eq!(reading.transposition.sounding(note.written), note.sounding);
            }
        }
    }
}

#[test]
fn over_a_drone_the_choice_is_true_to_the_chord() {
    // Written E5 on the open B-flat trumpet is the fifth partial, 14 cents flat of equal
    // temperament: over a C drone that is where a just major third lies (386 cents; see the
    // tuning's table), while 1-2 is 26 cents above it.
    let text = library::source("long-notes-triad-still")
        .unwrap()
        .replace("\"C4\"", "\"C5\"")
        .replace("\"F4\"", "\"C5\"");
    let exercise = read_exercise(&text).into_result().unwrap();
    let (trumpet, chart) = instrument("trumpet-bflat");
    let mut player = Player::named("");
    player.intonation = routine::player::Intonation::JustOverRoot;
    let part = expand(&exercise, &player, trumpet, &chart, &Levels::standard(), 0).unwrap();
    let third = part.lines[0].notes().nth(1).unwrap();
    assert_eq!(third.written.to_string(), "E5");
    assert_eq!(third.fingering.label, "0");
    assert!(
        third.fingering.cents.0.abs() < 0.1,
        "{}",
        third.fingering.cents.0
    );
}

#[test]
fn a_quick_slur_on_the_slide_is_not_smeared_when_an_alternate_avoids_it() {
    // Trombone: A3 (2) to B-flat 3 (1) slurred slides along partial 4; every choice is explained.
    let (trombone, chart) = instrument("trombone-tenor");
    let motions = Motions::of(trombone);
    let line: Vec<Asked> = [57, 58, 57, 58]
        .iter()
        .map(|&k| asked(k, true, 0.12))
        .collect();
    let chosen = choose(
        &line,
        &chart,
        &motions,
        Allowed::default(),
        &Weights::default(),
    )
    .unwrap();
    for f in &chosen {
        assert!(
            !f.alternate || f.reason.contains("rather than"),
            "{}",
            f.reason
        );
    }
}
