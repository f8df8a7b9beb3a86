//! `convert`: a file from one format to another, with every comment that it holds.

use std::path::{Path, PathBuf};

use routine::Levels;
use routine::exercise::Exercise;
use routine::file::{self, Document};
use routine::routine::Routine;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::own_file::{self, Content, Kind};
use super::{Failure, Output, write};

const EXAMPLES: &str = "\
Examples:
  waterkey convert my-idea.toml my-idea.json
  waterkey convert my-idea.json again.toml
  waterkey convert part.musicxml part.mxl

The ends of the two names say what is wanted. Exercises, routines and levels go from TOML to JSON
and back: the JSON holds the value and the comments with the key that each belongs to. MusicXML
goes from plain (.musicxml, .xml) to compressed (.mxl) and back, unchanged. For notes on paper or
as MIDI see `waterkey write`.";

/// From where to where.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// The file to read.
    from: PathBuf,
    /// The file to write.
    to: PathBuf,
    /// What the file is; told from its content without.
    #[arg(long, value_enum)]
    kind: Option<Kind>,
}

/// What was done.
#[derive(Serialize)]
struct Converted {
    from: String,
    to: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    kind: Option<Kind>,
    #[serde(skip_serializing_if = "Option::is_none")]
    comments: Option<usize>,
}

/// Converts one file.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let mut done = Converted {
        from: args.from.display().to_string(),
        to: args.to.display().to_string(),
        kind: None,
        comments: None,
    };
    match (Format::of(&args.from)?, Format::of(&args.to)?) {
        (Format::Toml, Format::Json) => {
            let text = own_file::text(&args.from)?;
            let kind = args.kind.unwrap_or_else(|| Kind::of(&text));
            let (json, comments) = to_json(&args.from, &text, kind)?;
            write::save(&args.to, json.as_bytes())?;
            (done.kind, done.comments) = (Some(kind), Some(comments));
        }
        (Format::Json, Format::Toml) => {
            let text = own_file::text(&args.from)?;
            let value: serde_json::Value = serde_json::from_str(&text).map_err(|error| {
                Failure::Input(format!("{}: not JSON: {error}", args.from.display()))
            })?;
            let kind = args.kind.unwrap_or_else(|| kind_of(&value));
            let (toml, comments) = to_toml(&args.from, value, kind)?;
            write::save(&args.to, toml.as_bytes())?;
            (done.kind, done.comments) = (Some(kind), Some(comments));
        }
        (Format::MusicXml | Format::Mxl, Format::MusicXml) => {
            write::save(&args.to, music(&args.from)?.as_bytes())?;
        }
        (Format::MusicXml | Format::Mxl, Format::Mxl) => {
            write::save(&args.to, &score::musicxml::pack(&music(&args.from)?)?)?;
        }
        (from, to) => {
            return Err(Failure::Input(format!(
                "cannot make {} of {}: TOML and JSON go into each other, and so do plain and \
                 compressed MusicXML",
                to.word(),
                from.word()
            )));
        }
    }
    output.show(&done, |done| match done.comments {
        Some(comments) => format!("{}: {comments} comments kept", done.to),
        None => done.to.clone(),
    })
}

#[derive(Clone, Copy)]
enum Format {
    Toml,
    Json,
    MusicXml,
    Mxl,
}

impl Format {
    fn of(path: &Path) -> Result<Self, Failure> {
        match path.extension().and_then(|end| end.to_str()) {
            Some("toml") => Ok(Self::Toml),
            Some("json") => Ok(Self::Json),
            Some("musicxml" | "xml") => Ok(Self::MusicXml),
            Some("mxl") => Ok(Self::Mxl),
            _ => Err(Failure::Input(format!(
                "{}: the name should end in .toml, .json, .musicxml or .mxl",
                path.display()
            ))),
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Toml => "TOML",
            Self::Json => "JSON",
            Self::MusicXml => "MusicXML",
            Self::Mxl => "compressed MusicXML",
        }
    }
}

/// The document as JSON and how many comments it holds; a file that cannot be used is refused
/// with its diagnostics.
fn to_json(path: &Path, text: &str, kind: Kind) -> Result<(String, usize), Failure> {
    fn document<T: Serialize + DeserializeOwned>(text: &str) -> Result<(String, usize), Failure> {
        let document: Document<T> =
            file::to_document(text).map_err(|error| Failure::Input(error.to_string()))?;
        let mut json = serde_json::to_string_pretty(&document)?;
        json.push('\n');
        Ok((json, document.comments.len()))
    }
    match kind.read(text) {
        (Some(Content::Exercise(_)), _) => document::<Exercise>(text),
        (Some(Content::Levels), _) => document::<Levels>(text),
        (Some(Content::Routine(_)), _) => document::<Routine>(text),
        (None, found) => Err(Failure::Input(own_file::named(path, &found))),
    }
}

/// The kind of a JSON document.
fn kind_of(document: &serde_json::Value) -> Kind {
    let has = |key: &str| {
        document
            .pointer(key)
            .is_some_and(serde_json::Value::is_array)
    };
    if has("/value/step") {
        Kind::Routine
    } else if has("/value/level") {
        Kind::Levels
    } else {
        Kind::Exercise
    }
}

/// The file as TOML and how many comments it holds; what would not be usable is refused.
fn to_toml(path: &Path, value: serde_json::Value, kind: Kind) -> Result<(String, usize), Failure> {
    fn text<T: Serialize + DeserializeOwned>(
        value: serde_json::Value,
    ) -> Result<(String, usize), String> {
        let document: Document<T> = serde_json::from_value(value).map_err(|e| e.to_string())?;
        let text = file::to_text(&document).map_err(|e| e.to_string())?;
        Ok((text, document.comments.len()))
    }
    let made = match kind {
        Kind::Exercise => text::<Exercise>(value),
        Kind::Levels => text::<Levels>(value),
        Kind::Routine => text::<Routine>(value),
    };
    let (toml, comments) =
        made.map_err(|error| Failure::Input(format!("{}: {error}", path.display())))?;
    match kind.read(&toml) {
        (Some(_), _) => Ok((toml, comments)),
        // The places are those of the TOML, which nobody has seen: only what is wrong is told.
        (None, found) => {
            let told: Vec<String> = found
                .iter()
                .map(|one| format!("{}: {}; {}", path.display(), one.message, one.help))
                .collect();
            Err(Failure::Input(told.join("\n")))
        }
    }
}

/// The document of a plain or compressed MusicXML file.
fn music(path: &Path) -> Result<String, Failure> {
    let named = |error: String| Failure::Input(format!("{}: {error}", path.display()));
    let bytes = std::fs::read(path)
        .map_err(|error| Failure::Input(format!("cannot read {}: {error}", path.display())))?;
    score::musicxml::unpack(&bytes).map_err(|error| named(error.to_string()))
}
