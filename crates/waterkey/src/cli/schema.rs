//! `schema`: the JSON schema of a kind of file, for editors that complete and check while typing.

use super::own_file::Kind;
use super::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey schema exercise
  waterkey schema levels";

/// Which schema.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The kind of file.
    #[arg(value_enum)]
    kind: Kind,
}

/// Prints the schema; it is JSON with or without `--json`.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let found = routine::file::schemas()
        .into_iter()
        .find(|(name, _)| *name == args.kind.word());
    let Some((_, schema)) = found else {
        return Err(Failure::Input(format!(
            "there is no schema of {}",
            args.kind.word()
        )));
    };
    let text = serde_json::to_string_pretty(&schema)?;
    output.raw(format!("{text}\n").as_bytes())
}
