//! The developer's own commands: `cargo xtask demo | test | tidy | bench`.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod bench;
mod demo;
mod machine;
mod run;
mod test;
mod tidy;

use std::process::ExitCode;

use anyhow::{Result, bail};

const USAGE: &str = "\
Usage: cargo xtask <command>

  demo [--port N] [--no-open]  build everything, make a demo studio, serve it on this machine
  test [--only STEP[,STEP]]    every test: fmt, clippy, tidy, doc, rust, page, browser, checks
  tidy                         do ARCHITECTURE.md, the crate graph and the files agree?
  bench [NAME]                 run the benchmarks, side by side with their peers
";

fn main() -> ExitCode {
    match command() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn command() -> Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (name, rest) = args
        .split_first()
        .map_or(("help", &[][..]), |(n, r)| (n.as_str(), r));
    match name {
        "demo" => demo::run(rest),
        "test" => test::run(rest),
        "tidy" => tidy::run(),
        "bench" => bench::run(rest),
        "help" | "-h" | "--help" => {
            print!("{USAGE}");
            Ok(())
        }
        other => bail!("there is no command `{other}`\n\n{USAGE}"),
    }
}
