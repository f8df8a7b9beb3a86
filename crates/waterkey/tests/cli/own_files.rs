//! The verbs for files of one's own: check, format, convert, schema, export.

use std::fs;
use std::path::Path;
use std::process::Output;

use serde_json::Value;

const EXERCISE: &str = "\
# for the Tuesday group
version = 1
id = \"my-idea\"
title = \"My idea\"
family = \"arpeggios\"
purpose = \"One chord, three lines.\"   # said aloud
harmony = \"major-triad\"
figure = { degrees = [1, 3, 5] }
travel = { from = \"C5\", to = \"A4\", by = \"semitone\" }
roof = \"G5\"
rhythm = \"1/4\"
tempo = 72 # slower!
# the end
";

fn waterkey(args: &[&str], folder: &Path) -> Output {
    super::waterkey(folder).args(args).output().unwrap()
}

fn piped(args: &[&str], input: &str) -> Output {
    let folder = tempfile::tempdir().unwrap();
    let mut command = super::waterkey(folder.path());
    command.args(args).write_stdin(input).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn check_names_file_line_column_and_what_to_write() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("good.toml"), EXERCISE).unwrap();
    let broken = EXERCISE.replace("family = \"arpeggios\"", "famly = \"arpeggios\"");
    fs::write(folder.path().join("bad.toml"), &broken).unwrap();

    let good = waterkey(&["check", "good.toml"], folder.path());
    assert_eq!(good.status.code(), Some(0), "{}", text(&good.stderr));
    assert_eq!(text(&good.stdout), "good.toml: exercise, nothing to mend\n");

    let bad = waterkey(&["check", "good.toml", "bad.toml"], folder.path());
    assert_eq!(bad.status.code(), Some(3));
    let told = text(&bad.stdout);
    assert!(told.contains("bad.toml:5:1: error:"), "{told}");
    assert!(told.contains("`family`"), "{told}");

    let bad = json(&waterkey(&["check", "bad.toml", "--json"], folder.path()));
    assert_eq!(bad[0]["usable"], false);
    assert_eq!(bad[0]["kind"], "exercise");
    let found = bad[0]["found"].as_array().unwrap();
    let wrong = found.iter().find(|one| one["line"] == 5).unwrap();
    assert_eq!(wrong["column"], 1);
    assert_eq!(wrong["help"], "did you mean `family`?");

    let absent = waterkey(&["check", "absent.toml"], folder.path());
    assert_eq!(absent.status.code(), Some(3));
    assert!(text(&absent.stderr).contains("cannot read absent.toml"));
}

#[test]
fn rules_that_contradict_each_other_are_told_where_they_stand() {
    for (from, to, line, word) in [
        (
            "roof = \"G5\"",
            "roof = \"C4\"\nfloor = \"C5\"",
            10,
            "floor",
        ),
        ("tempo = 72", "tempo = 0", 12, "tempo"),
        (
            "rhythm = \"1/4\"",
            "rhythm = \"1/0\"",
            11,
            "not a note value",
        ),
        (
            "to = \"A4\"",
            "to = \"C6\", order = \"down\"",
            9,
            "not an order",
        ),
    ] {
        let output = piped(&["check", "-", "--json"], &EXERCISE.replace(from, to));
        assert_eq!(
            output.status.code(),
            Some(3),
            "{to}: {}",
            text(&output.stdout)
        );
        let found = json(&output)[0]["found"].clone();
        assert!(
            found
                .as_array()
                .unwrap()
                .iter()
                .any(|one| one["line"] == line),
            "{to}: {found}"
        );
        assert!(found.to_string().contains(word), "{to}: {found}");
    }
}

#[test]
fn format_changes_a_file_once_and_keeps_its_comments() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mine.toml");
    fs::write(&file, EXERCISE.replace("tempo = 72", "tempo    =   72")).unwrap();

    let asked = waterkey(&["format", "mine.toml", "--dry-run"], folder.path());
    assert_eq!(asked.status.code(), Some(1));
    assert!(text(&asked.stdout).contains("mine.toml: would change"));
    let done = waterkey(&["format", "mine.toml"], folder.path());
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let after = fs::read_to_string(&file).unwrap();
    for comment in [
        "# for the Tuesday group",
        "# said aloud",
        "# slower!",
        "# the end",
    ] {
        assert!(after.contains(comment), "{comment} is gone:\n{after}");
    }
    assert!(after.contains("\ntempo = 72 # slower!\n"), "{after}");
    let again = waterkey(
        &["format", "mine.toml", "--dry-run", "--json"],
        folder.path(),
    );
    assert_eq!(again.status.code(), Some(0));
    assert_eq!(json(&again)[0]["changed"], false);

    let through = piped(&["format", "-"], EXERCISE);
    assert_eq!(text(&through.stdout), after);
    let broken = piped(&["format", "-"], "version = = 1\n");
    assert_eq!(broken.status.code(), Some(3));
    assert!(
        text(&broken.stderr).contains("-:1:"),
        "{}",
        text(&broken.stderr)
    );
}

#[test]
fn convert_goes_there_and_back_with_every_comment() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mine.toml");
    fs::write(&file, EXERCISE).unwrap();
    let there = waterkey(
        &["convert", "mine.toml", "mine.json", "--json"],
        folder.path(),
    );
    assert_eq!(there.status.code(), Some(0), "{}", text(&there.stderr));
    assert_eq!(json(&there)["comments"], 4);
    let back = waterkey(&["convert", "mine.json", "back.toml"], folder.path());
    assert_eq!(back.status.code(), Some(0), "{}", text(&back.stderr));
    let after = fs::read_to_string(folder.path().join("back.toml")).unwrap();
    for comment in [
        "# for the Tuesday group",
        "# said aloud",
        "# slower!",
        "# the end",
    ] {
        assert_eq!(after.matches(comment).count(), 1, "{comment}:\n{after}");
    }
    let (before, after) = (
        routine::file::read_exercise(EXERCISE).value.unwrap(),
        routine::file::read_exercise(&after).value.unwrap(),
    );
    assert_eq!(before, after);

    let unusable = EXERCISE.replace("version = 1", "version = 9");
    fs::write(folder.path().join("nine.toml"), unusable).unwrap();
    let refused = waterkey(&["convert", "nine.toml", "nine.json"], folder.path());
    assert_eq!(refused.status.code(), Some(3));
    assert!(
        text(&refused.stderr).contains("nine.toml:2:"),
        "{}",
        text(&refused.stderr)
    );
    assert!(!folder.path().join("nine.json").exists());
    let strange = waterkey(&["convert", "mine.toml", "mine.mid"], folder.path());
    assert_eq!(strange.status.code(), Some(3));
}

#[test]
fn convert_packs_and_unpacks_musicxml_unchanged() {
    let folder = tempfile::tempdir().unwrap();
    let written = waterkey(
        &[
            "write",
            "scales-thirds",
            "--instrument",
            "trumpet-bflat",
            "--musicxml",
            "a.musicxml",
        ],
        folder.path(),
    );
    assert_eq!(written.status.code(), Some(0), "{}", text(&written.stderr));
    for pair in [["a.musicxml", "b.mxl"], ["b.mxl", "c.musicxml"]] {
        let done = waterkey(&["convert", pair[0], pair[1]], folder.path());
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    }
    let read = |name| fs::read(folder.path().join(name)).unwrap();
    assert_eq!(read("a.musicxml"), read("c.musicxml"));
    assert!(read("b.mxl").starts_with(b"PK"));
}

#[test]
fn schema_prints_the_published_one() {
    let folder = tempfile::tempdir().unwrap();
    for kind in ["exercise", "levels", "routine"] {
        let printed = waterkey(&["schema", kind], folder.path());
        let path = format!(
            "{}/../routine/schema/{kind}.json",
            env!("CARGO_MANIFEST_DIR")
        );
        let published: Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
        assert_eq!(json(&printed), published);
    }
}

#[test]
fn export_writes_pieces_in_every_format_and_tells_what_it_left_out() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my-idea.toml"), EXERCISE).unwrap();
    let done = waterkey(
        &[
            "export",
            "parts",
            "--instrument",
            "horn-double",
            "--piece",
            "scales-thirds",
            "--piece",
            "easy-day",
            "--piece",
            "my-idea.toml",
            "--as",
            "musicxml",
            "--as",
            "mxl",
            "--as",
            "midi",
            "--as",
            "json",
            "--json",
        ],
        folder.path(),
    );
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let rows = json(&done);
    assert_eq!(rows.as_array().unwrap().len(), 3);
    for row in rows.as_array().unwrap() {
        let files = row["files"].as_array().unwrap();
        assert_eq!(files.len(), 4);
        for file in files {
            let bytes = fs::read(folder.path().join(file.as_str().unwrap())).unwrap();
            assert!(!bytes.is_empty());
        }
    }
    assert!(folder.path().join("parts/my-idea.musicxml").exists());

    let all = waterkey(
        &[
            "export",
            "all",
            "--instrument",
            "tuba-f",
            "--as",
            "midi",
            "--json",
        ],
        folder.path(),
    );
    assert_eq!(
        json(&all).as_array().unwrap().len(),
        routine::library::exercises().len()
    );
    let none = waterkey(
        &[
            "export",
            "none",
            "--instrument",
            "tuba-f",
            "--as",
            "midi",
            "--piece",
            "scales-third",
        ],
        folder.path(),
    );
    assert_eq!(none.status.code(), Some(3));
    assert!(text(&none.stderr).contains("Did you mean `scales-thirds`?"));
}
