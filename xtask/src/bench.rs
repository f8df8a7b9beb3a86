//! The benchmarks, each side by side with its named peer in one run.

use anyhow::Result;

use crate::run;

/// Runs `cargo bench`, whole or for one bench.
pub(crate) fn run(args: &[String]) -> Result<()> {
    let root = run::root();
    let mut command = run::command("cargo", &root);
    command.args(["bench", "--workspace"]);
    if let [name, ..] = args {
        command.args(["--bench", name]);
    }
    run::succeed(&mut command)
}
