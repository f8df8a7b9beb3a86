//! Shell completions and the manual page, made from the command line's own description.

use clap::CommandFactory;
use clap_complete::Shell;

use super::{Cli, Failure, Output};

/// Which shell.
#[derive(clap::Args)]
pub(crate) struct CompletionArgs {
    /// The shell to complete for.
    shell: Shell,
}

/// Prints the completions of a shell.
pub(crate) fn completions(args: &CompletionArgs, output: &Output) -> Result<(), Failure> {
    let mut text = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "waterkey", &mut text);
    output.raw(&text)
}

/// Prints the manual page.
pub(crate) fn page(output: &Output) -> Result<(), Failure> {
    let mut text = Vec::new();
    clap_mangen::Man::new(Cli::command()).render(&mut text)?;
    output.raw(&text)
}
