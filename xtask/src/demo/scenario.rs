//! The invented band school of Tidewell: who plays there, what was played, and how.

use std::io::Cursor;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::{Context, Result};
use routine::Part;
use routine::part::Line;
use serde_json::{Value, json};

use super::band::{self, Habit, RATE};
use super::client::Client;
use super::recordings;

/// One pupil: player settings, whose sound, and the habit in the first week.
struct Pupil {
    name: &'static str,
    instrument: &'static str,
    package: &'static str,
    floor: &'static str,
    roof: &'static str,
    words: &'static str,
    takes: &'static [(&'static str, f64)],
    habit: Habit,
}

/// Invented people; exercises with the days ago on which they were played.
const PUPILS: &[Pupil] = &[
    Pupil {
        name: "Ada",
        instrument: "trumpet-bflat",
        package: "tonejs-instrument-trumpet-wav",
        floor: "A3",
        roof: "G5",
        words: "Third year. The top of each line should sound like its middle.",
        takes: &[
            ("arpeggios-one-roof-major", 18.0),
            ("long-notes-home", 11.0),
            ("arpeggios-one-roof-major", 10.0),
            ("arpeggios-one-roof-major", 2.0),
        ],
        habit: Habit {
            tuning: 6.0,
            climb: 34.0,
            spread: 9.0,
            fade: 6.0,
            seed: 11,
        },
    },
    Pupil {
        name: "Bram",
        instrument: "trombone-tenor",
        package: "tonejs-instrument-trombone-mp3",
        floor: "F2",
        roof: "F4",
        words: "Plays in the evening band; comes tired on Thursdays.",
        takes: &[
            ("scales-major-octave", 9.0),
            ("arpeggios-one-roof-major", 3.0),
        ],
        habit: Habit {
            tuning: -9.0,
            climb: -24.0,
            spread: 8.0,
            fade: 3.0,
            seed: 23,
        },
    },
    Pupil {
        name: "Chidi",
        instrument: "horn-double",
        package: "tonejs-instrument-french-horn-mp3",
        floor: "G3",
        roof: "E5",
        words: "Second year. Soft starts before loud ones.",
        takes: &[("long-notes-home", 4.0)],
        habit: Habit {
            tuning: 0.0,
            climb: 6.0,
            spread: 7.0,
            fade: 2.0,
            seed: 37,
        },
    },
    Pupil {
        name: "Dora",
        instrument: "tuba-bflat",
        package: "tonejs-instrument-tuba-mp3",
        floor: "F1",
        roof: "F3",
        words: "Began in spring after two years on the cornet.",
        takes: &[("scales-major-octave", 6.0)],
        habit: Habit {
            tuning: -6.0,
            climb: 4.0,
            spread: 4.0,
            fade: 1.0,
            seed: 41,
        },
    },
];

/// How much of a habit is left after each further take of a pupil.
const BETTER_EACH_TIME: f64 = 0.75;
/// A take holds at most so many lines of its part, so that the demo is ready soon.
const LINES: usize = 3;

/// Fills a studio through its own interface.
pub(crate) fn fill(client: &Client, brass: &Path) -> Result<()> {
    for pupil in PUPILS {
        let player = client
            .post("/api/players", &about(pupil))
            .context(pupil.name)?;
        let id = text(&player, "id")?;
        let recordings = recordings::load(&brass.join(pupil.package))?;
        let mut habit = pupil.habit;
        for (exercise, days_ago) in pupil.takes {
            let part = part(client, exercise, &id)?;
            let lines: Vec<&Line> = part.lines.iter().take(LINES).collect();
            let sound = wave(&band::play(&lines, &recordings, habit))?;
            let path = format!(
                "/api/takes?player={id}&exercise={exercise}&instrument={}&started_ms={}",
                pupil.instrument,
                now_ms()? - (days_ago * 86_400_000.0) as i64
            );
            let take = client.upload(&path, "audio/wav", &sound)?;
            println!("  {}: {} ({:.0} s)", pupil.name, part.title, seconds(&take));
            habit = habit.improved(BETTER_EACH_TIME);
        }
        if let [(exercise, _), ..] = pupil.takes {
            client.post("/api/lessons", &lesson(pupil, &id, exercise)?)?;
        }
    }
    Ok(())
}

fn about(pupil: &Pupil) -> Value {
    json!({
        "name": pupil.name,
        "instrument": pupil.instrument,
        "floor": pupil.floor,
        "roof": pupil.roof,
        "words": pupil.words,
    })
}

fn lesson(pupil: &Pupil, id: &str, exercise: &str) -> Result<Value> {
    Ok(json!({
        "player": id,
        "at_ms": now_ms()? - 86_400_000,
        "title": format!("Lesson with {}", pupil.name),
        "text": "Rest as long as you play. Stop when the lip tires, before it hurts.",
        "exercises": [exercise],
        "takes": [],
    }))
}

fn part(client: &Client, exercise: &str, player: &str) -> Result<Part> {
    let answer = client.post(
        "/api/parts",
        &json!({ "exercise": exercise, "player": player }),
    )?;
    Ok(serde_json::from_value(answer["part"].clone())?)
}

fn text(value: &Value, key: &str) -> Result<String> {
    Ok(value[key]
        .as_str()
        .with_context(|| format!("an answer without {key}"))?
        .to_owned())
}

fn seconds(take: &Value) -> f64 {
    take["seconds"].as_f64().unwrap_or_default()
}

fn now_ms() -> Result<i64> {
    Ok(SystemTime::now().duration_since(UNIX_EPOCH)?.as_millis() as i64)
}

/// A 16-bit mono WAV file.
fn wave(samples: &[f32]) -> Result<Vec<u8>> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec)?;
    for sample in samples {
        writer.write_sample((sample.clamp(-1.0, 1.0) * 32_767.0) as i16)?;
    }
    writer.finalize()?;
    Ok(bytes.into_inner())
}
