//! Every example of the README and of the help runs as it stands there.

use std::path::Path;

use super::{help::VERBS, json, waterkey};

/// Verbs that do not end by themselves, or that ask at the terminal.
const STAYS: &[&str] = &["serve"];

/// The files that the examples speak of.
fn lay_out(folder: &Path) {
    let own = routine::library::SOURCES
        .iter()
        .find(|(id, _)| *id == "arpeggios-one-roof-major")
        .map(|(_, text)| *text);
    std::fs::write(folder.join("my-idea.toml"), own.unwrap()).unwrap();
    std::fs::write(folder.join("long-tones.txt"), "C4 0 -3\nE4 1-2 +9\n").unwrap();
    let mine = "instrument = \"trumpet-bflat\"\n[trim]\nmain = 2.5\n";
    std::fs::write(folder.join("my-trumpet.toml"), mine).unwrap();
    let order = [
        "--instrument",
        "trumpet-bflat",
        "--floor",
        "B3",
        "--roof",
        "E4",
    ];
    json(
        folder,
        &[
            &["sound", "arpeggios-one-roof-major", "take.wav"][..],
            &order,
        ]
        .concat(),
    );
    for copy in ["take.flac", "take.mp3"] {
        std::fs::copy(folder.join("take.wav"), folder.join(copy)).unwrap();
    }
}

/// The command lines in a text: lines that begin with the program's name, with those that
/// follow a backslash, without comments.
fn command_lines(text: &str) -> Vec<Vec<String>> {
    let joined = text.replace("\\\n", " ");
    let lines = joined
        .lines()
        .map(str::trim)
        .filter(|line| line.starts_with("waterkey "));
    lines
        .map(|line| line.split(" #").next().unwrap_or(line))
        .map(|line| shell_words::split(line).unwrap())
        .collect()
}

#[test]
fn every_example_runs() {
    let folder = tempfile::tempdir().unwrap();
    lay_out(folder.path());
    let mut text = include_str!("../../../../README.md").to_owned();
    for verb in VERBS {
        let help = waterkey(folder.path())
            .args([verb, "--help"])
            .assert()
            .success();
        text.push_str(&String::from_utf8_lossy(&help.get_output().stdout));
    }
    let mut run = 0;
    for words in command_lines(&text) {
        let args = &words[1..];
        if STAYS.contains(&args[0].as_str()) {
            continue;
        }
        waterkey(folder.path())
            .args(args)
            .env("XDG_DATA_HOME", folder.path())
            .assert()
            .success();
        run += 1;
    }
    assert!(run >= 20, "only {run} examples were found");
}
