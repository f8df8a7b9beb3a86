//! The program: command line and web server; the only crate that knows all the others.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod cli;
mod desk;
mod server;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
