//! From a sound file to a take that was heard: decoding, hearing, and what of it is kept.

mod skills;

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use ear::Heard;
use ear::input::{self, Input};
use ear::level::Calibration;
use ear::report::{Heading, Report, Whole};
use horn::Instrument;
use routine::Part;
use serde_json::{Value, json};
use studio::advice::Found;
use studio::sound::Sound;
use studio::{HeardTake, Origin, Settings, Take};
use tone::{Hertz, Tuning};

use super::problem::{Answer, Code, Problem};
use crate::desk;
use crate::desk::hearing::About;
use crate::desk::writing::Written;

/// How many findings are kept in the summary of a take.
const KEPT_FINDINGS: usize = 12;
/// Standard uncertainty of a level calibration by a hand-held meter, dB (IEC 61672-1:2013 allows
/// a class 2 meter about 1.5 dB).
const CALIBRATION_DB: f64 = 1.5;

/// What hearing starts from besides the sound.
pub(crate) struct Hearing {
    /// The take.
    pub(crate) take: Take,
    /// The part that was to be played.
    pub(crate) part: Option<Part>,
    /// The instrument it was played on.
    pub(crate) instrument: Instrument,
    /// Pitch standard and calibration.
    pub(crate) settings: Settings,
    /// Name of the player.
    pub(crate) player: String,
}

/// A sound that someone sent, and what it was.
pub(crate) struct Sent {
    /// The sound as it is kept: mono, at its own rate unless that is higher than FLAC is kept at.
    pub(crate) sound: Sound,
    /// What the file was.
    pub(crate) origin: Origin,
}

/// Reads a sound file that someone sent.
pub(crate) fn decode(path: &Path) -> Answer<Sent> {
    let options = input::Options {
        rate: studio::sound::flac::MOST_RATE,
        keep_lower: true,
        ..input::Options::default()
    };
    let input = read(path, &options)?;
    let source = input.source;
    Ok(Sent {
        sound: Sound {
            sample_rate: options.rate_of(source.rate),
            channels: 1,
            samples: input.samples.data.to_vec(),
        },
        origin: Origin {
            container: source.container,
            coding: source.coding,
            sample_rate: source.rate,
            channels: u32::try_from(source.channels).unwrap_or(u32::MAX),
            weights: source.mixing.weights,
        },
    })
}

fn read(path: &Path, options: &input::Options) -> Answer<Input> {
    let file = File::open(path).map_err(|error| {
        super::note_fault(&error);
        Problem::new(Code::Internal, "a file could not be read")
    })?;
    input::read(BufReader::new(file), options)
        .map_err(|error| Problem::unprocessable(error.to_string()))
}

/// Reads a take as the ear takes it, however long.
fn kept(path: &Path) -> Answer<Input> {
    /// The longest that a recording may be.
    const LONGEST_S: f64 = 4.0 * 3600.0;
    let options = input::Options {
        longest_s: LONGEST_S,
        ..input::Options::default()
    };
    read(path, &options)
}

/// Hears a take: against its part when it has one, freely when not.
pub(crate) fn hear(path: &Path, hearing: Hearing) -> Answer<HeardTake> {
    let input = kept(path)?;
    let heading = heading(&hearing);
    let home = hearing.instrument.home_partial;
    let tuning = Tuning {
        a4: Hertz(hearing.settings.a4),
        ..Tuning::default()
    };
    let asked = hearing.part.map(|part| Written {
        chart: horn::ideal::chart(&hearing.instrument, &tuning),
        instrument: hearing.instrument,
        part,
        tuning,
    });
    let about = About {
        asked: asked.as_ref(),
        heading,
        tuning,
        calibration: calibration(&hearing.settings),
        ..About::default()
    };
    let Whole { heard, report } = desk::hearing::hear(&input, &about);
    Ok(HeardTake {
        version: env!("CARGO_PKG_VERSION").into(),
        summary: summary(&report, asked.as_ref().map(|written| &written.part)),
        curves: curves(&heard),
        measures: skills::measures(&report, home),
        report: super::routes::json(&report)?,
    })
}

/// The level calibration of the settings, if there is one.
pub(crate) fn calibration(settings: &Settings) -> Option<Calibration> {
    settings.calibration_db.map(|offset_db| Calibration {
        offset_db,
        uncertainty_db: CALIBRATION_DB,
    })
}

fn heading(hearing: &Hearing) -> Heading {
    Heading {
        title: hearing.take.title.clone(),
        player: hearing.player.clone(),
        instrument: hearing.instrument.id.clone(),
        instrument_name: hearing.instrument.name.clone(),
        recorded: studio::load::day_name(studio::load::day_number(hearing.take.started_ms, 0)),
    }
}

/// A few figures for lists, for load and for advice.
fn summary(report: &Report, part: Option<&Part>) -> Value {
    let take = &report.take;
    // The part's load, for the share of its playing time that was played.
    let load = part.map_or(0.0, |part| {
        let share = take.playing_s / part.totals.playing_s.max(1.0);
        part.totals.load * share.clamp(0.0, 1.0)
    });
    let findings: Vec<Value> = report
        .findings
        .iter()
        .take(KEPT_FINDINGS)
        .map(|finding| {
            json!({
                "kind": finding.kind,
                "size": finding.value,
                "unit": finding.unit,
                "weight": finding.weight,
                "words": finding.words,
            })
        })
        .collect();
    json!({
        "playing_s": take.playing_s,
        "load": load,
        "trusted": report.verdict.trusted,
        "asked": take.asked,
        "as_asked": take.as_asked,
        "pitch_cents": take.pitch_cents,
        "spread_cents": take.spread_cents,
        "slur_ms": take.slur_ms,
        "slurs": take.slurs,
        "slurs_caught": take.slurs_caught,
        "level_db": take.level_db,
        "findings": findings,
    })
}

/// Pitch and level over time, a hundred values a second at most.
fn curves(heard: &Heard) -> Value {
    let track = &heard.track;
    let every = (0.01 / track.step_s.max(1e-4)).round().max(1.0) as usize;
    let frames = || track.frames.iter().enumerate().step_by(every);
    let two_places = |value: f64| (value * 100.0).round() / 100.0;
    let at_s: Vec<f64> = frames()
        .map(|(i, _)| two_places(i as f64 * track.step_s))
        .collect();
    let f0_hz: Vec<Option<f64>> = frames()
        .map(|(_, frame)| frame.sounds().then(|| two_places(frame.hz)))
        .collect();
    let level_db: Vec<f64> = frames()
        .map(|(_, frame)| two_places(f64::from(frame.level_db)))
        .collect();
    json!({ "at_s": at_s, "f0_hz": f0_hz, "level_db": level_db })
}

/// The level of each frequency around a place of a take, dB against full scale of one bin.
pub(crate) fn spectrum(path: &Path, at_s: f64) -> Answer<(Vec<f64>, Vec<f64>)> {
    /// Points of the transform: 93 ms at 44.1 kHz, bins 10.8 Hz apart.
    const SIZE: usize = 4096;
    let samples = kept(path)?.samples;
    if at_s > samples.seconds() {
        return Err(Problem::unprocessable(format!(
            "at_s must lie within the {:.1} s of the take",
            samples.seconds()
        )));
    }
    let mut spectrum = ear::signal::spectrum::Transform::new(SIZE);
    spectrum.look(&samples.data, (at_s * samples.rate).round() as isize);
    let mut powers = vec![0.0_f32; spectrum.bins()];
    spectrum.powers(&mut powers);
    let bin_hz = samples.rate / SIZE as f64;
    let hertz = (0..powers.len()).map(|bin| bin as f64 * bin_hz).collect();
    let level = powers
        .iter()
        .map(|&power| 10.0 * f64::from(power).max(1e-20).log10())
        .collect();
    Ok((hertz, level))
}

/// What was found in a take, from the summary that is kept of it.
pub(crate) fn found(summary: &Value) -> Vec<Found> {
    let findings = summary.get("findings").and_then(Value::as_array);
    findings
        .into_iter()
        .flatten()
        .filter_map(|finding| {
            Some(Found {
                finding: finding.get("kind")?.as_str()?.to_owned(),
                size: finding.get("size")?.as_f64()?,
                weight: finding.get("weight")?.as_f64()?,
            })
        })
        .collect()
}
