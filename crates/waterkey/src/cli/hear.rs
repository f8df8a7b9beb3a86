//! `hear`: a recorded take, against what was to be played or freely.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use ear::input::{self, Input};
use ear::report;

use super::order::PlayerArgs;
use super::write::LayoutArgs;
use super::{Failure, Output, progress, write};
use crate::desk::engraving;
use crate::desk::hearing::{About, heading, hear, marks, played};

const EXAMPLES: &str = "\
Examples:
  waterkey hear take.wav
  waterkey hear take.flac --exercise arpeggios-one-roof-major --instrument trumpet-bflat
  waterkey hear take.mp3 --exercise my-idea.toml --instrument tuba-f --html report.html --json
  waterkey hear take.wav --exercise scales-thirds --instrument trumpet-bflat --pdf heard.pdf

Any rate from 8 to 192 kHz, any number of channels; WAV, FLAC, MP3, OGG Vorbis, AAC/M4A, AIFF.";

/// Which take, what was asked, what to make of it.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The sound file.
    file: PathBuf,
    /// What was to be played: id of the library, or a TOML or MusicXML file; free playing without.
    #[arg(long, value_name = "ID|FILE")]
    exercise: Option<String>,
    #[command(flatten)]
    player: PlayerArgs,
    /// Write the report as one self-contained HTML file.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write the part, each note tinted and captioned by what was heard of it, as PDF.
    #[arg(long, value_name = "FILE", requires = "exercise")]
    pdf: Option<PathBuf>,
    #[command(flatten)]
    layout: LayoutArgs,
}

/// Hears the take and reports.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let written = args
        .exercise
        .as_deref()
        .map(|piece| args.player.write(piece))
        .transpose()?;
    let input = read(&args.file)?;
    let busy = progress::busy("hearing");
    let about = About {
        heading: written.as_ref().map(heading).unwrap_or_default(),
        asked: written.as_ref(),
        ..About::default()
    };
    let heard = hear(&input, &about).report;
    busy.finish_and_clear();
    let layout = args.layout.layout();
    let marks = marks(&heard, layout.language);
    if let Some(path) = &args.html {
        // Without an engraver the report does without the staves.
        let pages = written.as_ref().and_then(|written| {
            let part = played(&written.part, &heard);
            engraving::heard_pages(&part, &layout, &marks).ok()
        });
        let drawn = pages.map(|pages| pages.concat());
        write::save(path, report::html(&heard, drawn.as_deref()).as_bytes())?;
    }
    if let (Some(path), Some(written)) = (&args.pdf, &written) {
        let part = played(&written.part, &heard);
        write::save(path, &engraving::heard_pdf(&part, &layout, &marks)?)?;
    }
    output.show(&heard, report::text)
}

/// Reads a sound file; its content decides, its name is only a hint.
pub(crate) fn read(path: &Path) -> Result<Input, Failure> {
    let name = path.display();
    let file =
        File::open(path).map_err(|error| Failure::Input(format!("cannot open {name}: {error}")))?;
    let options = input::Options {
        extension: path
            .extension()
            .map(|end| end.to_string_lossy().into_owned()),
        ..input::Options::default()
    };
    input::read(BufReader::new(file), &options)
        .map_err(|error| Failure::Input(format!("{name}: {error}")))
}
