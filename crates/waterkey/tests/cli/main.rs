//! The program as a person meets it on the command line.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod bad_input;
mod examples;
mod help;
mod horn;
mod own_files;
mod spine;
mod wave;

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

/// The program, run in a folder of its own.
fn waterkey(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waterkey"));
    command.current_dir(folder);
    command
}

/// What the program prints with `--json` when it succeeds.
fn json(folder: &Path, args: &[&str]) -> Value {
    let done = waterkey(folder).args(args).arg("--json").assert().success();
    serde_json::from_slice(&done.get_output().stdout).unwrap()
}
