//! From a sound file to a take that was heard: decoding, hearing, and what of it is kept.

mod skills;

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use ear::level::Calibration;
use ear::report::{self, Given, Heading, Report};
use ear::{Expected, Heard, input};
use horn::Instrument;
use routine::Part;
use serde_json::{Value, json};
use studio::advice::Found;
use studio::sound::Sound;
use studio::{HeardTake, Settings, Take};
use tone::{Hertz, Tuning};

use super::problem::{Answer, Code, Problem};

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

/// Reads a sound file that someone sent.
pub(crate) fn decode(path: &Path) -> Answer<Sound> {
    let options = input::Options {
        rate: wave_rate(path).unwrap_or(input::WORKING_RATE),
        ..input::Options::default()
    };
    let input = read(path, &options)?;
    Ok(Sound {
        sample_rate: options.rate,
        channels: 1,
        samples: input.samples.data.to_vec(),
    })
}

fn read(path: &Path, options: &input::Options) -> Answer<input::Input> {
    let file = File::open(path).map_err(|error| {
        super::note_fault(&error);
        Problem::new(Code::Internal, "a file could not be read")
    })?;
    input::read(BufReader::new(file), options)
        .map_err(|error| Problem::unprocessable(error.to_string()))
}

/// The rate that a WAVE file gives in its head, if it is one that can be kept: then nothing is
/// resampled.
fn wave_rate(path: &Path) -> Option<u32> {
    let mut head = [0; 28];
    File::open(path).ok()?.read_exact(&mut head).ok()?;
    let [.., a, b, c, d] = head;
    let rate = u32::from_le_bytes([a, b, c, d]);
    let is_wave = head.starts_with(b"RIFF") && head.get(8..16) == Some(b"WAVEfmt ");
    (is_wave && (8_000..=studio::sound::flac::MOST_RATE).contains(&rate)).then_some(rate)
}

/// Hears a take: against its part when it has one, freely when not.
pub(crate) fn hear(path: &Path, hearing: &Hearing) -> Answer<HeardTake> {
    // Four hours is the longest a recording may be.
    let options = input::Options {
        longest_s: 4.0 * 3600.0,
        ..input::Options::default()
    };
    let input = read(path, &options)?;
    let tuning = Tuning {
        a4: Hertz(hearing.settings.a4),
        ..Tuning::default()
    };
    let chart = horn::ideal::chart(&hearing.instrument, &tuning);
    let expected = hearing
        .part
        .as_ref()
        .map_or_else(Expected::default, |part| {
            ear::expected::from_part(part, &hearing.instrument, &chart, &tuning)
        });
    let settings = ear::Settings::default();
    let asked = expected.count() > 0;
    let heard = ear::hear(&input.samples, asked.then_some(&expected), &settings);
    let free = asked.then(|| ear::hear(&input.samples, None, &settings));
    let report = report::build(&Given {
        samples: &input.samples,
        source: Some(&input.source),
        faults: &input.faults,
        expected: &expected,
        heard: &heard,
        free: free.as_ref(),
        part: hearing.part.as_ref(),
        heading: heading(hearing),
        tuning,
        against: ear::measure::Against::Tuning,
        calibration: hearing
            .settings
            .calibration_db
            .map(|offset_db| Calibration {
                offset_db,
                uncertainty_db: CALIBRATION_DB,
            }),
    });
    Ok(HeardTake {
        version: env!("CARGO_PKG_VERSION").into(),
        summary: summary(&report, hearing.part.as_ref()),
        curves: curves(&heard),
        measures: skills::measures(&report, hearing.instrument.home_partial),
        report: super::routes::json(&report)?,
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
    let options = input::Options {
        longest_s: 4.0 * 3600.0,
        ..input::Options::default()
    };
    let samples = read(path, &options)?.samples;
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
