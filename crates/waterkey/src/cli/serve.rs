//! `serve`: the page and its data on this machine, until Ctrl-C.

use std::io::{BufRead, Write};

use super::studio::FolderArgs;
use super::{Failure, Output};
use crate::server::{self, Config, Ready};

/// Where and how.
#[derive(clap::Args)]
#[command(after_help = "\
Examples:
  waterkey serve
  waterkey serve --port 0 --data ./studio --print-address
  waterkey serve --network --host studio.local --passphrase-stdin

Only this machine can reach the server unless --network is given; then a passphrase is asked of
every browser, and another device needs HTTPS for its microphone (the server says how).")]
pub(super) struct Args {
    /// Port; 0 takes a free one.
    #[arg(long, default_value_t = 7373)]
    port: u16,
    #[command(flatten)]
    folder: FolderArgs,
    /// Let other devices of the network in; needs a passphrase.
    #[arg(long)]
    network: bool,
    /// A name under which other devices reach this machine; may be given several times.
    #[arg(long = "host", value_name = "NAME", requires = "network")]
    hosts: Vec<String>,
    /// Read a new passphrase from the first line of standard input and keep (a hash of) it.
    #[arg(long)]
    passphrase_stdin: bool,
    /// Print nothing but the address, once the server answers.
    #[arg(long)]
    print_address: bool,
}

pub(super) fn run(args: Args, output: &Output) -> Result<(), Failure> {
    let passphrase = if args.passphrase_stdin {
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line)?;
        Some(line.trim_end_matches(['\r', '\n']).to_owned())
    } else {
        None
    };
    let config = Config {
        data: args.folder.path()?,
        port: args.port,
        network: args.network,
        passphrase,
        hosts: args.hosts,
    };
    let (json, bare) = (output.json, args.print_address);
    server::serve(config, |ready| {
        // Whoever reads this may be gone; the server serves all the same.
        told(&ready, json, bare).ok();
    })?;
    Ok(())
}

fn told(ready: &Ready, json: bool, bare: bool) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    if json {
        let value = serde_json::json!({ "address": ready.address, "notes": ready.notes });
        writeln!(out, "{value}")?;
    } else if bare {
        writeln!(out, "{}", ready.address)?;
    } else {
        writeln!(out, "Open {} in a browser. Ctrl-C stops.", ready.address)?;
        for note in &ready.notes {
            writeln!(out, "\n{note}")?;
        }
    }
    out.flush()
}
