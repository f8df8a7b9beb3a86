//! Input that is wrong or odd: a clear error that loses nothing, or a clear and correct result.

use std::path::Path;

use predicates::prelude::*;
use predicates::str::contains;
use serde_json::Value;

use super::wave::{Sound, two_hours};
use super::{json, waterkey};

const AGAINST: [&str; 8] = [
    "--exercise",
    "arpeggios-one-roof-major",
    "--instrument",
    "trumpet-bflat",
    "--floor",
    "B3",
    "--roof",
    "E4",
];

/// A take of the exercise as it was asked for.
fn take(folder: &Path) -> Sound {
    let order = &AGAINST[2..];
    json(
        folder,
        &[&["sound", AGAINST[1], "take.wav"][..], order].concat(),
    );
    Sound::read(&folder.join("take.wav"))
}

fn hear(folder: &Path, name: &str) -> Value {
    json(folder, &[&["hear", name][..], &AGAINST].concat())
}

/// The program refuses the input with code 3 and these words.
fn refuses(folder: &Path, args: &[&str], words: &str) {
    let done = waterkey(folder).args(args).assert();
    done.code(3)
        .stderr(contains(words).and(contains("panicked").not()));
}

#[test]
fn names_that_do_not_exist_are_refused_with_the_way_to_those_that_do() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    refuses(
        folder,
        &["explain", "trumpet-bflatt"],
        "Did you mean `trumpet-bflat`?",
    );
    refuses(
        folder,
        &["write", "no-such", "--instrument", "trumpet-bflat"],
        "waterkey list exercises",
    );
    refuses(folder, &["write", "scales-major-octave"], "--instrument");
    refuses(folder, &["hear", "nowhere.wav"], "nowhere.wav");
}

#[test]
fn notes_outside_the_compass_and_no_notes_at_all_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    refuses(
        folder.path(),
        &["explain", "trumpet-bflat", "C0"],
        "it reaches",
    );
    refuses(
        folder.path(),
        &["explain", "trumpet-bflat", "H4"],
        "is not a pitch",
    );
}

#[test]
fn malformed_toml_is_refused_with_line_and_column() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(
        folder.join("own.toml"),
        "title = \"Mine\"\n[figure\nlow = 3",
    )
    .unwrap();
    refuses(
        folder,
        &["write", "own.toml", "--instrument", "trumpet-bflat"],
        "own.toml:2:8",
    );
    refuses(folder, &["explain", "own.toml"], "own.toml");
    let binary = [0xff_u8, 0xfe, 0, 0, 1];
    std::fs::write(folder.join("binary.toml"), binary).unwrap();
    refuses(
        folder,
        &["write", "binary.toml", "--instrument", "trumpet-bflat"],
        "binary.toml",
    );
}

#[test]
fn files_that_are_no_sound_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("text.wav"), "This is a letter, not a take.\n").unwrap();
    refuses(folder, &["hear", "text.wav"], "looks like text");
    std::fs::write(folder.join("empty.wav"), "").unwrap();
    refuses(folder, &["hear", "empty.wav"], "the file is empty");
    two_hours(&folder.join("long.wav"));
    refuses(folder, &["hear", "long.wav"], "cut it into pieces");
}

#[test]
fn silence_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let silent = Sound {
        rate: 44_100,
        samples: vec![0.0; 5 * 44_100],
    };
    silent.write(&folder.path().join("silent.wav"), 1);
    let report = hear(folder.path(), "silent.wav");
    assert_eq!(report["verdict"]["trusted"], false, "{}", report["verdict"]);
    assert_eq!(report["take"]["as_asked"], 0);
    assert_eq!(
        report["faults"][0]["kind"], "near-silent",
        "{}",
        report["faults"]
    );
}

#[test]
fn stereo_and_other_rates_are_heard_alike_and_overload_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let sound = take(folder);
    let plain = hear(folder, "take.wav");
    assert_eq!(plain["take"]["asked"], plain["take"]["as_asked"]);
    sound.write(&folder.join("stereo.wav"), 2);
    sound.slower(6).write(&folder.join("low.wav"), 1);
    sound.faster(4).write(&folder.join("high.wav"), 1);
    sound.louder(20.0).write(&folder.join("hot.wav"), 1);
    for name in ["stereo.wav", "low.wav", "high.wav", "hot.wav"] {
        let report = hear(folder, name);
        assert_eq!(report["take"]["as_asked"], plain["take"]["asked"], "{name}");
        let cents = report["take"]["pitch_cents"]["value"].as_f64().unwrap();
        assert!(cents.abs() < 1.0, "{name}: {cents} c");
        let clipped = report["faults"].to_string().contains("clip");
        assert_eq!(clipped, name == "hot.wav", "{name}: {}", report["faults"]);
    }
}
