//! Builds the program and opens a demo studio: invented players, takes made of recorded brass.

mod band;
mod client;
mod recordings;
mod scenario;

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::machine::{self, CXX};
use crate::run;
use client::Client;

/// Builds everything, fills a temporary studio and serves it until Ctrl-C.
///
/// `--port N` chooses the port, `--no-open` leaves the browser alone, `--once` stops when the
/// studio is filled (for the tests).
pub(crate) fn run(args: &[String]) -> Result<()> {
    let mut port = "0".to_owned();
    let (mut open, mut once) = (true, false);
    let mut args = args.iter();
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--port" => port = args.next().context("--port needs a number")?.clone(),
            "--no-open" => open = false,
            "--once" => once = true,
            other => bail!("`{other}`? usage: cargo xtask demo [--port N] [--no-open] [--once]"),
        }
    }
    machine::need(&[CXX])?;
    let root = run::root();
    println!("building the program and its page (the first time takes some minutes)");
    run::succeed(run::command("cargo", &root).args(["build", "--package", "waterkey"]))?;
    let brass = machine::recorded_brass()?;
    let folder = tempfile::Builder::new()
        .prefix("waterkey-demo-")
        .tempdir()?;
    let mut server = Server::start(folder.path(), &port)?;
    println!("filling the demo studio in {}", folder.path().display());
    scenario::fill(&Client::new(&server.address)?, &brass)?;
    println!(
        "\nThe demo studio is open: {}\nCtrl-C closes it and removes its data.",
        server.address
    );
    if once {
        return Ok(());
    }
    if open && machine::has("xdg-open") && std::env::var_os("DISPLAY").is_some() {
        // A browser that does not start is no reason to close the studio.
        Command::new("xdg-open").arg(&server.address).spawn().ok();
    }
    server.process.wait()?;
    Ok(())
}

/// A server that ends with this value.
struct Server {
    process: Child,
    address: String,
}

impl Server {
    fn start(data: &std::path::Path, port: &str) -> Result<Self> {
        let mut process = Command::new(run::program())
            .args(["serve", "--print-address", "--port", port, "--data"])
            .arg(data)
            .stdout(Stdio::piped())
            .spawn()
            .context("the program does not start")?;
        let mut address = String::new();
        if let Some(out) = process.stdout.take() {
            BufReader::new(out).read_line(&mut address)?;
        }
        let address = address.trim().to_owned();
        if address.is_empty() {
            bail!("the server said no address: {}", process.wait()?);
        }
        Ok(Self { process, address })
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Already gone is as good.
        self.process.kill().ok();
        self.process.wait().ok();
    }
}
