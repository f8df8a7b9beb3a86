//! The files: errors that point, a formatter that loses nothing, schemas that are up to date.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use routine::Exercise;
use routine::file::{
    format, read_exercise, read_levels, read_routine, rewrite, schemas, to_document, to_text,
};
use routine::library;

/// Every line of the text that holds a comment, sorted.
fn comments(text: &str) -> Vec<String> {
    let mut found: Vec<String> = text
        .lines()
        .filter_map(|l| l.find("# ").map(|i| l[i..].trim().to_owned()))
        .collect();
    found.sort();
    found
}

const COMMENTED: &str = r#"# For Tuesday.
version = 1
title = "Fives"      # short
id = "fives"
# Mostly for the low brass.
family = "scales"
purpose = "Up a fifth and back."
cautions = [
    "Softly.",       # she forgets
    # and again:
    "Rest.",
]
tempo = [60, 90]     # not faster
harmony = "major-scale"
figure = { degrees = [1, 2, 3, 4, 5] }

# down only
[travel]
from = "C5"          # home
to = "G4"
# in semitones
by = "semitone"
"#;

const REST_OF_IT: &str = "rhythm = \"1/4\" # quarters\n";

fn commented() -> String {
    // TOML wants bare keys before tables.
    COMMENTED.replace("# down only", &format!("{REST_OF_IT}\n# down only"))
}

#[test]
fn errors_name_line_column_and_what_to_do() {
    let text = library::source("scales-thirds").unwrap();
    let cases = [
        (
            "roof = \"G5\"",
            "roof = \"B3\"",
            "roof",
            "every line would start above the roof B3",
        ),
        (
            "tempo = [60, 116]",
            "tempo = 0",
            "tempo",
            "0 quarter notes a minute; write 20 to 300",
        ),
        (
            "tempo = [60, 116]",
            "tempo = [60]",
            "tempo",
            "1 tempi; write the calmest",
        ),
        (
            "carry = \"steps\"",
            "carry = \"stepps\"",
            "carry",
            "did you mean `steps`?",
        ),
        (
            "carry = \"steps\"",
            "cary = \"steps\"",
            "cary",
            "did you mean `carry`?",
        ),
        (
            "\"major-scale\"",
            "\"mayor-scale\"",
            "harmony",
            "did you mean `major-scale`?",
        ),
        (
            "[1, 3]",
            "[0, 3]",
            "figure",
            "degree 0 is not in major scale",
        ),
        ("by = \"whole-tone\"", "by = 0", "travel", "never arrives"),
        (
            "from = \"C4\"",
            "from = \"H4\"",
            "travel",
            "`H4` is not a pitch",
        ),
        (
            "rhythm = \"1/8\"",
            "rhythm = \"1/7\"",
            "rhythm",
            "`1/7` is not a note value",
        ),
        (
            "version = 1",
            "version = 9",
            "version",
            "this program reads version 1",
        ),
        (
            "slur = [2]",
            "slur = [0]",
            "slur",
            "a slur group of no notes",
        ),
    ];
    for (from, to, key, want) in cases {
        let bad = text.replace(from, to);
        assert_ne!(bad, text, "{from}");
        let parsed = read_exercise(&bad);
        assert!(parsed.value.is_none(), "{to}");
        let line = 1 + bad.lines().position(|l| l.starts_with(key)).unwrap();
        let hit = parsed
            .diagnostics
            .iter()
            .find(|d| d.to_string().contains(want));
        let hit = hit.unwrap_or_else(|| panic!("{to}: {:#?}", parsed.diagnostics));
        // A travel above the roof points at the travel.
        if !want.contains("above the roof") {
            assert_eq!(hit.line, line, "{to}");
        }
        assert!(hit.column >= 1);
    }
}

#[test]
fn all_errors_are_found_in_one_go_even_after_broken_syntax() {
    let text = "version = 1\nid = \"x y\"\ntitle = \nfamily = \"scale\"\ntempo = \"fast\"\n";
    let parsed = read_exercise(text);
    let lines: Vec<usize> = parsed.diagnostics.iter().map(|d| d.line).collect();
    assert!(parsed.value.is_none());
    for line in [3, 4, 5] {
        assert!(lines.contains(&line), "{line}: {:#?}", parsed.diagnostics);
    }
}

#[test]
fn missing_keys_are_named_with_an_example() {
    let parsed = read_exercise("version = 1\n");
    let all: Vec<String> = parsed.diagnostics.iter().map(ToString::to_string).collect();
    for key in [
        "id", "title", "family", "purpose", "figure", "travel", "rhythm", "tempo",
    ] {
        assert!(
            all.iter()
                .any(|d| d.contains(&format!("`{key}` is missing"))),
            "{key}: {all:#?}"
        );
    }
    assert!(read_routine("").value.is_none());
    assert!(read_levels("").value.is_none());
}

#[test]
fn the_formatter_keeps_value_and_comments_and_is_done_after_one_go() {
    let mut texts: Vec<String> = library::SOURCES
        .iter()
        .map(|(_, t)| (*t).to_owned())
        .collect();
    texts.extend(
        library::ROUTINE_SOURCES
            .iter()
            .map(|(_, t)| (*t).to_owned()),
    );
    texts.push(routine::level::STANDARD.to_owned());
    texts.push(commented());
    for text in texts {
        let once = format(&text).unwrap();
        assert_eq!(format(&once).unwrap(), once);
        assert_eq!(comments(&once), comments(&text), "{once}");
        let a: toml::Table = toml::from_str(&text).unwrap();
        let b: toml::Table = toml::from_str(&once).unwrap();
        assert_eq!(a, b);
    }
    assert!(format("a = ").unwrap_err().to_string().starts_with("1:"));
}

#[test]
fn the_library_is_formatted() {
    for (id, text) in library::SOURCES {
        publish(&format!("library/{id}.toml"), &format(text).unwrap());
    }
    for (id, text) in library::SOURCES {
        assert_eq!(
            format(text).unwrap(),
            *text,
            "{id}: run the formatter on it"
        );
    }
}

#[test]
fn converting_there_and_back_loses_no_comment() {
    let text = commented();
    let document = to_document::<Exercise>(&text).unwrap();
    let json = serde_json::to_string(&document).unwrap();
    let document = serde_json::from_str(&json).unwrap();
    let back = to_text::<Exercise>(&document).unwrap();
    assert_eq!(comments(&back), comments(&text), "{back}");
    assert_eq!(
        read_exercise(&back).value.unwrap(),
        read_exercise(&text).value.unwrap()
    );
}

#[test]
fn a_changed_value_goes_back_into_its_file_without_losing_a_comment() {
    let text = commented();
    let mut exercise = read_exercise(&text).into_result().unwrap();
    exercise.cautions = vec!["Rest.".to_owned()];
    exercise.travel = routine::exercise::Travel::Starts {
        starts: vec!["C5".parse().unwrap()],
        order: routine::exercise::Order::Straight,
        root: None,
    };
    exercise.repeats = 2;
    let new = rewrite(&text, &exercise).unwrap();
    assert_eq!(comments(&new), comments(&text), "{new}");
    assert_eq!(read_exercise(&new).into_result().unwrap(), exercise);
    // Nothing changed: the value and the comments stay.
    let same = rewrite(&text, &read_exercise(&text).value.unwrap()).unwrap();
    assert_eq!(same, format(&text).unwrap());
}

/// Run with `PUBLISH=1` to write the schemas anew and to format the library.
fn publish(file: &str, text: &str) {
    if std::env::var_os("PUBLISH").is_some() {
        std::fs::write(format!("{}/{file}", env!("CARGO_MANIFEST_DIR")), text).unwrap();
    }
}

#[test]
fn the_published_schemas_are_up_to_date() {
    for (name, schema) in schemas() {
        let path = format!("{}/schema/{name}.json", env!("CARGO_MANIFEST_DIR"));
        let fresh = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        publish(&format!("schema/{name}.json"), &fresh);
        assert_eq!(
            std::fs::read_to_string(&path).unwrap(),
            fresh,
            "{name}: publish it anew"
        );
    }
}

#[test]
fn routines_read_and_name_exercises_that_are_there() {
    assert_eq!(library::routines().len(), library::ROUTINE_SOURCES.len());
    for routine in library::routines() {
        for step in &routine.steps {
            assert!(library::find(&step.exercise).is_some(), "{}", step.exercise);
        }
    }
}
