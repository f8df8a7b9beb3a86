//! `export`: many pieces for one player into a folder, in every format asked for.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use routine::{Part, library};
use serde::Serialize;
use tone::Tuning;

use super::order::{PlayerArgs, named_piece};
use super::pick::PlaybackArgs;
use super::write::{LayoutArgs, save};
use super::{Failure, Output, progress};
use crate::desk::engraving;

const EXAMPLES: &str = "\
Examples:
  waterkey export parts --instrument trumpet-bflat --as musicxml --as midi
  waterkey export parts --instrument euphonium-4 --level third --piece easy-day --as pdf

Without --piece the whole library is written. Files are named after the piece: scales-thirds.musicxml.
A piece that the player's range leaves nothing of gives no file; its reasons are told.";

/// What to write, for whom, and how.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The folder to write into; made when it is not there.
    folder: PathBuf,
    /// Exercise or routine, by id or file; every exercise of the library without.
    #[arg(long = "piece", value_name = "ID|FILE")]
    pieces: Vec<String>,
    /// Format; may be given several times.
    #[arg(long = "as", value_enum, value_name = "FORMAT", required = true)]
    formats: Vec<Format>,
    #[command(flatten)]
    player: PlayerArgs,
    #[command(flatten)]
    playback: PlaybackArgs,
    #[command(flatten)]
    layout: LayoutArgs,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// MusicXML 4.0.
    #[value(name = "musicxml")]
    MusicXml,
    /// MusicXML 4.0, compressed.
    Mxl,
    /// Standard MIDI File.
    Midi,
    /// Engraved pages as SVG, a file for each page.
    Svg,
    /// Engraved pages as PDF.
    Pdf,
    /// The part itself: lines, notes, fingerings with their reasons.
    Json,
}

/// What was written of one piece.
#[derive(Serialize)]
struct Exported {
    piece: String,
    lines: usize,
    notes: usize,
    files: Vec<String>,
    /// Why there are no files, where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    left_out: Vec<String>,
}

/// Writes all pieces.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    std::fs::create_dir_all(&args.folder).map_err(|error| {
        Failure::Work(anyhow::anyhow!(
            "cannot make {}: {error}",
            args.folder.display()
        ))
    })?;
    let pieces: Vec<&str> = if args.pieces.is_empty() {
        library::exercises().iter().map(|e| e.id.as_str()).collect()
    } else {
        args.pieces.iter().map(String::as_str).collect()
    };
    let busy = progress::busy("writing");
    let order = args.player.order()?;
    let chart = order
        .chart()
        .map_err(|error| Failure::Input(error.to_string()))?;
    let mut done = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let part = order
            .part(named_piece(piece, None)?, &chart)
            .map_err(|error| Failure::Input(format!("{piece}: {error}")))?;
        done.push(args.one(piece, &part, order.tuning)?);
    }
    busy.finish_and_clear();
    output.show(&done, |done| {
        let lines = done.iter().map(|one| match one.left_out.first() {
            Some(why) if one.files.is_empty() => format!("{}: nothing: {why}", one.piece),
            _ => format!(
                "{}: {} lines: {}",
                one.piece,
                one.lines,
                one.files.join(", ")
            ),
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

impl Args {
    /// Writes one part in every format.
    fn one(&self, piece: &str, part: &Part, tuning: Tuning) -> Result<Exported, Failure> {
        let notes = part.lines.iter().map(|line| line.notes().count()).sum();
        let mut files = Vec::new();
        if notes > 0 {
            let stem = Path::new(piece).file_stem().unwrap_or_default();
            let stem = self.folder.join(stem);
            for format in &self.formats {
                for (end, bytes) in self.bytes(*format, part, tuning)? {
                    let mut name = stem.clone().into_os_string();
                    name.push(end);
                    save(Path::new(&name), &bytes)?;
                    files.push(Path::new(&name).display().to_string());
                }
            }
        }
        let left_out = part
            .left_out
            .iter()
            .map(|o| format!("{} ({})", o.what, o.why));
        Ok(Exported {
            piece: piece.to_owned(),
            lines: part.lines.len(),
            notes,
            files,
            left_out: if notes == 0 {
                left_out.collect()
            } else {
                Vec::new()
            },
        })
    }

    /// The files of one format: the end of the name and the content.
    fn bytes(
        &self,
        format: Format,
        part: &Part,
        tuning: Tuning,
    ) -> Result<Vec<(String, Vec<u8>)>, Failure> {
        let options = score::musicxml::Options::default();
        let one = |end: &str, bytes: Vec<u8>| vec![(end.to_owned(), bytes)];
        Ok(match format {
            Format::MusicXml => one(
                ".musicxml",
                score::musicxml::write(part, &options)?.into_bytes(),
            ),
            Format::Mxl => one(".mxl", score::musicxml::write_mxl(part, &options)?),
            Format::Midi => one(
                ".mid",
                score::midi::write(part, &self.playback.playback(tuning))?,
            ),
            Format::Pdf => one(".pdf", engraving::pdf(&[part], &self.layout.layout())?),
            Format::Json => one(".json", serde_json::to_vec(part)?),
            Format::Svg => engraving::svg_pages(part, &self.layout.layout())?
                .into_iter()
                .enumerate()
                .map(|(page, svg)| {
                    let end = match page {
                        0 => ".svg".to_owned(),
                        page => format!("-{}.svg", page + 1),
                    };
                    (end, svg.into_bytes())
                })
                .collect(),
        })
    }
}
