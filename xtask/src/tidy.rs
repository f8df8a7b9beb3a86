//! Whether the house is in order: the crate graph, ARCHITECTURE.md, and the files themselves.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context, Result, bail};
use serde_json::Value;

use crate::run;

/// The rooms from the lowest up, each with those of the project that it may import.
const ROOMS: &[(&str, &[&str])] = &[
    ("tone", &[]),
    ("horn", &["tone"]),
    ("routine", &["tone", "horn"]),
    ("score", &["tone", "horn", "routine"]),
    ("voice", &["tone", "horn", "routine"]),
    ("ear", &["tone", "horn", "routine"]),
    ("studio", &["tone", "horn", "routine", "ear"]),
    (
        "waterkey",
        &["tone", "horn", "routine", "score", "voice", "ear", "studio"],
    ),
    ("xtask", &["routine", "ear"]),
];

/// A file longer than this wants to be two.
const LONGEST_FILE: usize = 500;

/// Runs all the looks and names everything that is out of order.
pub(crate) fn run() -> Result<()> {
    let root = run::root();
    let mut wrong = Vec::new();
    graph(&root, &mut wrong)?;
    architecture(&root, &mut wrong)?;
    files(&root, &mut wrong)?;
    if wrong.is_empty() {
        println!("tidy: the crate graph, ARCHITECTURE.md and the files agree");
        return Ok(());
    }
    bail!("out of order:\n  {}", wrong.join("\n  "));
}

/// No room imports a higher one, nor a sibling it may not know.
fn graph(root: &Path, wrong: &mut Vec<String>) -> Result<()> {
    let text = run::output(run::command("cargo", root).args([
        "metadata",
        "--format-version=1",
        "--no-deps",
        "--offline",
    ]))?;
    let metadata: Value = serde_json::from_str(&text).context("cargo metadata")?;
    let allowed: BTreeMap<&str, &[&str]> = ROOMS.iter().copied().collect();
    for package in metadata["packages"].as_array().into_iter().flatten() {
        let name = package["name"].as_str().unwrap_or_default();
        let Some(may) = allowed.get(name) else {
            wrong.push(format!("crate {name} is not a room of xtask/src/tidy.rs"));
            continue;
        };
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            let other = dependency["name"].as_str().unwrap_or_default();
            let for_tests = dependency["kind"] == "dev";
            if allowed.contains_key(other) && !may.contains(&other) && !for_tests {
                wrong.push(format!(
                    "crate {name} imports {other}, which it may not know"
                ));
            }
        }
    }
    Ok(())
}

/// The page names every room, and only rooms that are there.
fn architecture(root: &Path, wrong: &mut Vec<String>) -> Result<()> {
    let page = std::fs::read_to_string(root.join("ARCHITECTURE.md")).context("ARCHITECTURE.md")?;
    for (room, _) in ROOMS {
        let folder = if *room == "xtask" {
            "`xtask/`".into()
        } else {
            format!("`crates/{room}`")
        };
        if !page.contains(&folder) {
            wrong.push(format!("ARCHITECTURE.md does not name {folder}"));
        }
    }
    for named in page
        .split('`')
        .filter(|text| text.contains('/') && !text.contains(' '))
    {
        if !root.join(named.trim_end_matches('/')).exists() {
            wrong.push(format!(
                "ARCHITECTURE.md names `{named}`, which is not there"
            ));
        }
    }
    Ok(())
}

/// Each source file says what it is for and can be read in one sitting.
fn files(root: &Path, wrong: &mut Vec<String>) -> Result<()> {
    let listed = run::output(run::command("git", root).args([
        "ls-files", "--", "*.rs", "*.ts", "*.svelte", "*.py", "*.js", "*.mjs",
    ]))?;
    for name in listed.lines() {
        let Ok(text) = std::fs::read_to_string(root.join(name)) else {
            continue;
        };
        let lines = text.lines().count();
        let made = text.lines().take(3).any(|line| line.contains("generated"));
        if lines > LONGEST_FILE && !made {
            wrong.push(format!(
                "{name} has {lines} lines, more than {LONGEST_FILE}"
            ));
        }
        if name.ends_with(".rs") && !text.starts_with("//!") && !made {
            wrong.push(format!(
                "{name} does not open with a `//!` line that says what it is for"
            ));
        }
    }
    Ok(())
}
