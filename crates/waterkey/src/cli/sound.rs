//! `sound`: an exercise, a drone or a click as a WAV file.

use std::path::PathBuf;

use serde::Serialize;
use voice::{Audio, Rate, Settings, Stack, wav};

use super::order::PlayerArgs;
use super::pick::PlaybackArgs;
use super::{Failure, Output, progress, write};

const EXAMPLES: &str = "\
Examples:
  waterkey sound arpeggios-one-roof-major part.wav --instrument trumpet-bflat --count-in --click
  waterkey sound arpeggios-one-roof-major along.wav --instrument tuba-f --drone --without-notes";

/// What to sound, and where to.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Exercise or routine id of the library, or a TOML or MusicXML file.
    exercise: String,
    /// The WAV file to write.
    file: PathBuf,
    #[command(flatten)]
    player: PlayerArgs,
    #[command(flatten)]
    playback: PlaybackArgs,
    /// A bar of clicks before each line, where the rest has room for it.
    #[arg(long)]
    count_in: bool,
    /// A click on every beat.
    #[arg(long)]
    click: bool,
    /// A drone on each line's root.
    #[arg(long)]
    drone: bool,
    /// Only drone and clicks, to play along with.
    #[arg(long)]
    without_notes: bool,
    /// Samples a second.
    #[arg(long, default_value_t = 48_000)]
    rate: u32,
}

#[derive(Serialize)]
struct Made {
    file: String,
    seconds: f64,
    rate: u32,
    notes: usize,
}

/// Makes the sound and writes it.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let written = args.player.write(&args.exercise)?;
    let rate = Rate::new(args.rate).map_err(|error| Failure::Input(error.to_string()))?;
    let settings = Settings {
        playback: args.playback.playback(written.tuning),
        count_in: args.count_in,
        click: args.click,
        drone: args.drone.then_some(Stack::default()),
        without_notes: args.without_notes,
    };
    let busy = progress::busy("sounding");
    let audio: Audio = voice::part(&written.part, &settings, rate)?;
    busy.finish_and_clear();
    write::save(&args.file, &wav::encode(&audio, wav::Depth::Sixteen)?)?;
    let made = Made {
        file: args.file.display().to_string(),
        seconds: audio.seconds(),
        rate: args.rate,
        notes: audio.marks.len(),
    };
    output.show(&made, |made| {
        format!(
            "{}: {:.1} s at {} Hz, {} notes",
            made.file, made.seconds, made.rate, made.notes
        )
    })
}
