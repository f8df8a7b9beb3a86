//! What several verbs ask for alike: an instrument, a reading, a tuning, a note.

use std::path::Path;

use clap::ValueEnum;
use horn::{Instrument, Reading};
use routine::Playback;
use tone::{Hertz, Pitch, Sounding, Temperament, Tuning, Written};

use super::Failure;

/// An instrument of the catalogue by its id, or a user's own from a TOML file.
pub(crate) fn instrument(name: &str) -> Result<Instrument, Failure> {
    if let Some(known) = horn::catalog::find(name) {
        return Ok(known.clone());
    }
    if Path::new(name).extension().is_some_and(|end| end == "toml") {
        let text = read_text(Path::new(name))?;
        return Instrument::from_toml(&text)
            .map_err(|error| Failure::Input(format!("{name}: {error}")));
    }
    let ids: Vec<&str> = horn::catalog().iter().map(|i| i.id.as_str()).collect();
    let near = nearest(name, &ids).map_or_else(String::new, |id| format!(" Did you mean `{id}`?"));
    Err(Failure::Input(format!(
        "there is no instrument `{name}`.{near} `waterkey list instruments` names them all; \
         a file of your own ends in .toml"
    )))
}

/// The word that needs the fewest single-letter changes, if those are few.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    known
        .iter()
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), *candidate))
        .min()
        .filter(|(changes, _)| *changes <= 2 + word.len() / 4)
        .map(|(_, candidate)| candidate)
}

/// The reading of an instrument by its id; the usual one without.
pub(crate) fn reading<'a>(
    instrument: &'a Instrument,
    id: Option<&str>,
) -> Result<&'a Reading, Failure> {
    let found = match id {
        Some(id) => instrument.reading(id),
        None => instrument.usual_reading(),
    };
    found.ok_or_else(|| {
        let ids: Vec<&str> = instrument.readings.iter().map(|r| r.id.as_str()).collect();
        Failure::Input(format!(
            "{} is not read as `{}`; its readings are {}",
            instrument.name,
            id.unwrap_or("usual"),
            ids.join(", ")
        ))
    })
}

/// A text file, with a clear word when it can't be read.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path)
        .map_err(|error| Failure::Input(format!("cannot read {}: {error}", path.display())))
}

/// How the twelve notes lie.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
pub(crate) enum TuningName {
    /// Twelve equal semitones.
    #[default]
    Equal,
    /// Five-limit just intervals over --root.
    Just,
    /// Pure fifths over --root.
    Pythagorean,
    /// Quarter-comma meantone over --root.
    Meantone,
}

/// The pitch standard and temperament.
#[derive(clap::Args)]
pub(crate) struct TuningArgs {
    /// Frequency of A4 in hertz, 415 to 466.
    #[arg(long, default_value_t = 440.0, value_name = "HZ")]
    a4: f64,
    /// How the notes lie within the octave.
    #[arg(long, value_enum, default_value_t)]
    tuning: TuningName,
    /// Sounding root of the just, Pythagorean or meantone scale and of just intervals, such as Bb.
    #[arg(long, default_value = "C", value_name = "NOTE")]
    root: String,
}

impl TuningArgs {
    /// The tuning asked for.
    pub(crate) fn tuning(&self) -> Result<Tuning, Failure> {
        if !(415.0..=466.0).contains(&self.a4) {
            return Err(Failure::Input(format!(
                "--a4 {} is outside 415 to 466 Hz, the pitch standards in use",
                self.a4
            )));
        }
        let root = self.root_class()?;
        let temperament = match self.tuning {
            TuningName::Equal => Temperament::Equal,
            TuningName::Just => Temperament::Just { root },
            TuningName::Pythagorean => Temperament::Pythagorean { root },
            TuningName::Meantone => Temperament::Meantone { root },
        };
        Ok(Tuning {
            a4: Hertz(self.a4),
            temperament,
        })
    }

    /// Pitch class of --root, 0 = C.
    pub(crate) fn root_class(&self) -> Result<u8, Failure> {
        let pitch: Pitch = format!("{}4", self.root).parse().map_err(|_| {
            Failure::Input(format!("--root {}: write a note such as Bb", self.root))
        })?;
        Ok(pitch.midi().rem_euclid(12) as u8)
    }
}

/// How notes are tuned when a part is sounded.
#[derive(Clone, Copy, Default, ValueEnum)]
enum PlaybackName {
    /// The tuning asked for.
    #[default]
    Equal,
    /// Just intervals over each line's root.
    Just,
    /// Where the tube itself puts each note.
    Horn,
}

/// How the notes of a sound or a MIDI file are tuned.
#[derive(clap::Args)]
pub(crate) struct PlaybackArgs {
    /// How the notes are tuned.
    #[arg(long, value_enum, default_value_t)]
    playback: PlaybackName,
}

impl PlaybackArgs {
    /// The playback asked for, in the tuning of the part.
    pub(crate) fn playback(&self, tuning: Tuning) -> Playback {
        match self.playback {
            PlaybackName::Equal => Playback::To { tuning },
            PlaybackName::Just => Playback::OverRoot { a4: tuning.a4 },
            PlaybackName::Horn => Playback::AsTheTube { tuning },
        }
    }
}

/// A pitch as typed: written in the reading, or sounding.
pub(crate) fn note(
    text: &str,
    concert: bool,
    reading: &Reading,
) -> Result<(Written, Sounding), Failure> {
    let pitch: Pitch = text
        .parse()
        .map_err(|error: tone::ParsePitchError| Failure::Input(error.to_string()))?;
    Ok(if concert {
        (
            reading.transposition.written(Sounding(pitch)),
            Sounding(pitch),
        )
    } else {
        (
            Written(pitch),
            reading.transposition.sounding(Written(pitch)),
        )
    })
}
