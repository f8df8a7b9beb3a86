//! `write`: an exercise for a player, on the screen or as files.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use routine::Part;
use routine::part::Event;
use score::layout::{Fingerings, Layout, Paper};
use tone::Language;

use super::order::PlayerArgs;
use super::pick::PlaybackArgs;
use super::{Failure, Output};
use crate::desk::engraving;
use crate::desk::writing::Written;

const EXAMPLES: &str = "\
Examples:
  waterkey write arpeggios-one-roof-major --instrument trumpet-bflat
  waterkey write my-idea.toml --instrument tuba-eflat --reading treble --musicxml part.musicxml
  waterkey write arpeggios-one-roof-major --instrument euphonium-4 --midi part.mid --json";

/// What to write, for whom, and where to.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Exercise or routine id of the library, or a TOML or MusicXML file.
    exercise: String,
    #[command(flatten)]
    player: PlayerArgs,
    #[command(flatten)]
    files: Files,
}

/// Files to write the part to.
#[derive(clap::Args)]
struct Files {
    /// MusicXML 4.0; compressed when the name ends in .mxl.
    #[arg(long, value_name = "FILE")]
    musicxml: Option<PathBuf>,
    /// MusicXML 4.0, compressed.
    #[arg(long, value_name = "FILE")]
    mxl: Option<PathBuf>,
    /// Standard MIDI File.
    #[arg(long, value_name = "FILE")]
    midi: Option<PathBuf>,
    /// Engraved pages as SVG; from the second page on the name gets -2, -3, ...
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Engraved pages as PDF.
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    #[command(flatten)]
    playback: PlaybackArgs,
    #[command(flatten)]
    layout: LayoutArgs,
}

/// How engraved pages look.
#[derive(clap::Args)]
pub(crate) struct LayoutArgs {
    /// The sheet.
    #[arg(long, value_enum, default_value_t)]
    paper: PaperName,
    /// A larger staff and larger words.
    #[arg(long)]
    large_print: bool,
    /// Where fingerings or positions are shown.
    #[arg(long, value_enum, default_value_t)]
    fingerings: Shown,
    /// Language of the page; what a person wrote stays as it is.
    #[arg(long, value_enum, default_value_t)]
    language: LanguageName,
    /// The date for the head of the page.
    #[arg(long, default_value = "", hide_default_value = true)]
    date: String,
}

#[derive(Clone, Copy, Default, ValueEnum)]
enum PaperName {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8.5 x 11 inches.
    Letter,
}

#[derive(Clone, Copy, Default, ValueEnum)]
enum LanguageName {
    /// English.
    #[default]
    En,
    /// German.
    De,
}

#[derive(Clone, Copy, Default, ValueEnum)]
enum Shown {
    /// On every note.
    #[default]
    Always,
    /// Only where the choice is not the usual one.
    Unusual,
    /// Nowhere.
    Never,
}

impl LayoutArgs {
    /// The layout asked for.
    pub(crate) fn layout(&self) -> Layout {
        let layout = Layout {
            paper: match self.paper {
                PaperName::A4 => Paper::A4,
                PaperName::Letter => Paper::Letter,
            },
            fingerings: match self.fingerings {
                Shown::Always => Fingerings::Always,
                Shown::Unusual => Fingerings::Unusual,
                Shown::Never => Fingerings::Never,
            },
            date: self.date.clone(),
            embed_font: true,
            language: match self.language {
                LanguageName::En => Language::En,
                LanguageName::De => Language::De,
            },
            ..Layout::default()
        };
        if self.large_print {
            layout.large_print()
        } else {
            layout
        }
    }
}

/// Writes the part.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let written = args.player.write(&args.exercise)?;
    args.files.save(&written)?;
    output.show(&written.part, text)
}

impl Files {
    fn save(&self, written: &Written) -> Result<(), Failure> {
        let part = &written.part;
        let options = score::musicxml::Options::default();
        if let Some(path) = &self.musicxml {
            // A name in .mxl asks for the compressed form by itself.
            if path.extension().is_some_and(|end| end == "mxl") {
                save(path, &score::musicxml::write_mxl(part, &options)?)?;
            } else {
                save(path, score::musicxml::write(part, &options)?.as_bytes())?;
            }
        }
        if let Some(path) = &self.mxl {
            save(path, &score::musicxml::write_mxl(part, &options)?)?;
        }
        if let Some(path) = &self.midi {
            let playback = self.playback.playback(written.tuning);
            save(path, &score::midi::write(part, &playback)?)?;
        }
        if let Some(path) = &self.svg {
            let pages = engraving::svg_pages(part, &self.layout.layout())?;
            for (i, page) in pages.iter().enumerate() {
                save(&numbered(path, i + 1), page.as_bytes())?;
            }
        }
        if let Some(path) = &self.pdf {
            save(path, &engraving::pdf(&[part], &self.layout.layout())?)?;
        }
        Ok(())
    }
}

/// `part.svg`, `part-2.svg`, `part-3.svg` and so on.
fn numbered(path: &Path, page: usize) -> PathBuf {
    if page == 1 {
        return path.to_owned();
    }
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{page}.svg"))
}

/// Writes a file, naming it when that fails.
pub(crate) fn save(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    std::fs::write(path, bytes)
        .map_err(|error| Failure::Work(anyhow::anyhow!("cannot write {}: {error}", path.display())))
}

/// The part for the terminal: a line of notes with their fingerings under it.
fn text(part: &Part) -> String {
    let mut text = format!(
        "{}\n{}\n{}\n",
        part.title, part.purpose, part.instrument_name
    );
    for line in &part.lines {
        text += &format!("\n{}, quarter = {}\n", line.label, line.tempo);
        let (mut notes, mut ways) = (String::new(), String::new());
        for event in &line.events {
            match event {
                Event::Note(note) => {
                    let joint = if note.slurred { "~" } else { " " };
                    notes += &format!("{joint}{:<6}", note.written.to_string());
                    ways += &format!(" {:<6}", note.fingering.label);
                }
                Event::Rest { .. } => {
                    notes += " -     ";
                    ways += "       ";
                }
                Event::Breath => {
                    notes += " ,";
                    ways += "  ";
                }
            }
        }
        text += &format!("{}\n{}\n", notes.trim_end(), ways.trim_end());
    }
    text += &format!(
        "\nplaying {:.0} s, rest {:.0} s, load {:.1}\n",
        part.totals.playing_s, part.totals.rest_s, part.totals.load
    );
    for omission in &part.left_out {
        text += &format!("left out: {} ({})\n", omission.what, omission.why);
    }
    for caution in &part.cautions {
        text += &format!("{caution}\n");
    }
    text
}
