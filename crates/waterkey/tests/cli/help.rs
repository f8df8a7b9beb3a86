//! What the program says about itself: help, completions, manual.

use predicates::prelude::*;

use super::{json, waterkey};

pub(crate) const VERBS: &[&str] = &[
    "list", "explain", "tube", "picture", "compare", "fit", "write", "export", "bind", "sound",
    "hear", "check", "format", "convert", "schema", "studio", "serve",
];

#[test]
fn every_verb_has_examples_in_its_help() {
    let folder = tempfile::tempdir().unwrap();
    for verb in VERBS {
        let example = predicate::str::contains(format!("  waterkey {verb} "));
        let example = example.or(predicate::str::contains(format!("  waterkey {verb}\n")));
        let done = waterkey(folder.path()).args([verb, "--help"]).assert();
        done.success()
            .stdout(predicate::str::contains("Examples:").and(example));
    }
}

#[test]
fn every_list_is_there_as_text_and_as_json() {
    let folder = tempfile::tempdir().unwrap();
    for what in [
        "instruments",
        "exercises",
        "routines",
        "levels",
        "readings",
        "mouthpieces",
        "leadpipes",
        "pitches",
    ] {
        let args = ["list", what];
        let text = waterkey(folder.path()).args(args).assert().success();
        assert!(!text.get_output().stdout.is_empty(), "{what}");
        let value = json(folder.path(), &args);
        let list = value.as_array().or(value["level"].as_array());
        assert!(list.is_some_and(|list| !list.is_empty()), "{what}: {value}");
    }
}

#[test]
fn completions_and_the_manual_print() {
    let folder = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let done = waterkey(folder.path())
            .args(["completions", shell])
            .assert();
        done.success().stdout(predicate::str::contains("waterkey"));
    }
    let done = waterkey(folder.path()).arg("manual").assert();
    done.success().stdout(predicate::str::contains(".TH"));
}

#[test]
fn a_wrong_command_line_ends_with_2_and_an_unknown_name_with_3() {
    let folder = tempfile::tempdir().unwrap();
    waterkey(folder.path()).arg("blow").assert().code(2);
    waterkey(folder.path())
        .args(["explain", "bugle"])
        .assert()
        .code(3);
}
