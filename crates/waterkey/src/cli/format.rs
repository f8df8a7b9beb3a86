//! `format`: files of one's own set in the usual order and spacing; value and comments stay.

use std::path::{Path, PathBuf};

use routine::file;
use serde::Serialize;

use super::own_file::{self, STANDARD_INPUT};
use super::{Failure, Output, write};

const EXAMPLES: &str = "\
Examples:
  waterkey format my-idea.toml
  waterkey format my-idea.toml --dry-run
  cat my-idea.toml | waterkey format -

Files are changed in place; standard input goes to standard output. With --dry-run nothing is
written, and the exit code is 1 when a file would change.";

/// Which files.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Exercises, routines or levels in TOML; `-` for standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Only tell which files would change.
    #[arg(long)]
    dry_run: bool,
}

/// What became of one file.
#[derive(Serialize)]
struct Formatted {
    file: String,
    changed: bool,
}

/// Formats every file; nothing is written when one of them is not TOML.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let texts = args
        .files
        .iter()
        .map(|path| formatted(path))
        .collect::<Result<Vec<_>, Failure>>()?;
    if let [path] = args.files.as_slice()
        && path.as_os_str() == STANDARD_INPUT
        && !args.dry_run
    {
        return match texts.first() {
            Some((_, after)) => output.raw(after.as_bytes()),
            None => Ok(()),
        };
    }
    let mut done = Vec::with_capacity(texts.len());
    for (path, (before, after)) in args.files.iter().zip(&texts) {
        let changed = before != after;
        if changed && !args.dry_run && path.as_os_str() != STANDARD_INPUT {
            write::save(path, after.as_bytes())?;
        }
        done.push(Formatted {
            file: path.display().to_string(),
            changed,
        });
    }
    output.show(&done, |done| {
        let lines = done.iter().map(|one| {
            let word = match (one.changed, args.dry_run) {
                (false, _) => "as it should be",
                (true, true) => "would change",
                (true, false) => "formatted",
            };
            format!("{}: {word}", one.file)
        });
        lines.collect::<Vec<_>>().join("\n")
    })?;
    if args.dry_run && done.iter().any(|one| one.changed) {
        return Err(Failure::Work(anyhow::anyhow!(
            "not all files are formatted"
        )));
    }
    Ok(())
}

/// A file's text before and after.
fn formatted(path: &Path) -> Result<(String, String), Failure> {
    let before = own_file::text(path)?;
    let after = file::format(&before)
        .map_err(|error| Failure::Input(format!("{}:{error}", path.display())))?;
    Ok((before, after))
}
