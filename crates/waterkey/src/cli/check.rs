//! `check`: whether files of one's own can be used, and what is wrong with them, line by line.

use std::path::{Path, PathBuf};

use routine::file::{Diagnostic, Severity};
use serde::Serialize;

use super::own_file::{self, Kind};
use super::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey check my-idea.toml
  waterkey check my-idea.toml --kind exercise --json
  cat my-idea.toml | waterkey check -

Each finding is told as FILE:LINE:COLUMN with what to write instead. Exit code 3 when a file cannot
be used as it is; a warning alone is no error.";

/// Which files.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Exercises, routines or levels in TOML; `-` for standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// What the files are; told from their content without.
    #[arg(long, value_enum)]
    kind: Option<Kind>,
}

/// What was found in one file.
#[derive(Serialize)]
struct Checked {
    file: String,
    kind: Kind,
    usable: bool,
    found: Vec<Diagnostic>,
}

/// Checks every file, then fails if one of them cannot be used.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let checked = args
        .files
        .iter()
        .map(|path| check(path, args.kind))
        .collect::<Result<Vec<Checked>, Failure>>()?;
    output.show(&checked, |checked| {
        checked.iter().map(line).collect::<Vec<_>>().join("\n")
    })?;
    let bad = checked.iter().filter(|one| !one.usable).count();
    match bad {
        0 => Ok(()),
        1 => Err(Failure::Input("one file cannot be used as it is".into())),
        _ => Err(Failure::Input(format!(
            "{bad} files cannot be used as they are"
        ))),
    }
}

fn check(path: &Path, kind: Option<Kind>) -> Result<Checked, Failure> {
    let text = own_file::text(path)?;
    let kind = kind.unwrap_or_else(|| Kind::of(&text));
    let (content, found) = kind.read(&text);
    Ok(Checked {
        file: path.display().to_string(),
        kind,
        usable: content.is_some(),
        found,
    })
}

fn line(checked: &Checked) -> String {
    let found = own_file::named(Path::new(&checked.file), &checked.found);
    let warnings = checked
        .found
        .iter()
        .filter(|d| d.severity == Severity::Warning);
    match (checked.usable, warnings.count()) {
        (true, 0) => format!("{}: {}, nothing to mend", checked.file, checked.kind.word()),
        _ => found,
    }
}
