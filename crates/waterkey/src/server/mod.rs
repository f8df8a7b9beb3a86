//! The web server: the page, its data, and the line for live sound. Loopback only by default.

mod engraving;
mod extract;
mod guard;
mod hearing;
mod live;
mod page;
mod problem;
mod routes;
mod serve;
mod state;

pub(crate) use serve::{Config, Ready, serve};

/// Notes a fault of the program for whoever runs it; the client is told no paths and no SQL.
#[allow(clippy::print_stderr)] // The log of a program that runs in a terminal.
fn note_fault(fault: &dyn std::fmt::Display) {
    eprintln!("waterkey: {fault}");
}
