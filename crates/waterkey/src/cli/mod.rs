//! The command line: one file per verb, each named after what the person does.

mod bind;
mod blown;
mod bore_chart;
mod check;
mod compare;
mod convert;
mod explain;
mod export;
mod fit;
mod format;
mod hear;
mod list;
mod manual;
mod order;
mod output;
mod own_file;
mod pick;
mod picture;
mod progress;
mod schema;
mod serve;
mod sound;
mod studio;
mod tube;
mod write;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::desk::engraving;
pub(crate) use output::{Failure, Output};

const EXAMPLES: &str = "\
Examples:
  waterkey list instruments
  waterkey explain trumpet-bflat D4
  waterkey write arpeggios-one-roof-major --instrument euphonium-4 --midi part.mid
  waterkey hear take.wav --exercise arpeggios-one-roof-major --instrument trumpet-bflat
  waterkey serve

Exit codes: 0 done, 1 the work failed, 2 the command line is wrong, 3 an input was not understood.
Pain, numbness, dizziness or a lip that stops responding: stop and rest.";

/// A workbench for people who play and teach brass.
#[derive(Parser)]
#[command(name = "waterkey", version, after_help = EXAMPLES, max_term_width = 100)]
struct Cli {
    /// Print JSON instead of text.
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Subcommand)]
enum Verb {
    /// List what is there.
    List(list::Args),
    /// Explain a note or a whole compass: lengths, partials, cents, and why.
    Explain(explain::Args),
    /// A length as the bore makes it: resonances, blowing thresholds, slots, pictures.
    Tube(tube::Args),
    /// Draw a picture for teaching: natural series, fingering chart, impedance, standing wave.
    Picture(picture::Args),
    /// Two set-ups side by side: instruments, mouthpieces, leadpipes, temperatures, your own horn.
    Compare(compare::Args),
    /// Fit the tubing to notes that you measured: your own horn.
    Fit(fit::Args),
    /// Write an exercise for a player: on the screen, as MusicXML, MIDI or engraved pages.
    Write(write::Args),
    /// Write many pieces for a player into a folder, in every format asked for.
    Export(export::Args),
    /// Bind a booklet for one player or the set for a whole class as one PDF.
    Bind(bind::Args),
    /// Sound an exercise with drone, clicks and count-in as a WAV file.
    Sound(sound::Args),
    /// Hear a recorded take, against what was to be played or freely.
    Hear(hear::Args),
    /// Check exercises, routines and levels of your own: what is wrong, where, what to write.
    Check(check::Args),
    /// Set files of your own in the usual order and spacing.
    Format(format::Args),
    /// Convert a file: TOML and JSON, plain and compressed MusicXML.
    Convert(convert::Args),
    /// Print the JSON schema of exercise, routine or levels files.
    Schema(schema::Args),
    /// The data folder: what is in it, copies of it, and whether it is whole.
    Studio(studio::Args),
    /// Serve the page on this machine.
    Serve(serve::Args),
    /// Print shell completions for bash, zsh, fish, elvish or powershell.
    Completions(manual::CompletionArgs),
    /// Print the manual page (roff).
    Manual,
}

/// Runs the program and gives its exit code.
pub(crate) fn main() -> ExitCode {
    let cli = Cli::parse();
    let output = Output { json: cli.json };
    let done = match cli.verb {
        Verb::List(args) => list::run(&args, &output),
        Verb::Explain(args) => explain::run(&args, &output),
        Verb::Tube(args) => tube::run(&args, &output),
        Verb::Picture(args) => picture::run(&args, &output),
        Verb::Compare(args) => compare::run(&args, &output),
        Verb::Fit(args) => fit::run(&args, &output),
        Verb::Write(args) => write::run(&args, &output),
        Verb::Export(args) => export::run(&args, &output),
        Verb::Bind(args) => bind::run(&args, &output),
        Verb::Sound(args) => sound::run(&args, &output),
        Verb::Hear(args) => hear::run(&args, &output),
        Verb::Check(args) => check::run(&args, &output),
        Verb::Format(args) => format::run(&args, &output),
        Verb::Convert(args) => convert::run(&args, &output),
        Verb::Schema(args) => schema::run(&args, &output),
        Verb::Studio(args) => studio::run(&args, &output),
        Verb::Serve(args) => serve::run(args, &output),
        Verb::Completions(args) => manual::completions(&args, &output),
        Verb::Manual => manual::page(&output),
    };
    engraving::clean_up();
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(&output),
    }
}
