//! From shapes to lines of the part: spelled, fingered, timed, with rest and load.

use horn::Length;
use tone::{Cents, Temperament, Tuning};

use super::frame::{class_name, name, partial_interval};
use super::room::Room;
use super::shape::{Shape, Tone};
use super::spell::{Spelling, accidentals, spelling};
use super::timing::{Pace, Timing, rest_after, time};
use crate::exercise::{Exercise, Figure, HOME_KEY};
use crate::fingering::{Asked, choose, on_length};
use crate::load;
use crate::part::{Event, Fingered, Line, Note, Totals};
use crate::player::Intonation;

/// A line with its totals.
pub(crate) struct Built {
    pub(crate) line: Line,
    pub(crate) totals: Totals,
}

/// Builds a line, or says why it cannot be played. `line` counts the lines of the exercise.
pub(crate) fn build(
    shape: &Shape,
    exercise: &Exercise,
    room: &Room<'_>,
    line: usize,
) -> Result<Built, &'static str> {
    let tempo = exercise.tempo.at(room.tempo_share);
    let pace = Pace {
        tempo,
        breath_s: room.limits.breath_seconds,
        line,
    };
    let timing = time(&shape.tones, exercise, pace);
    let key = match exercise.figure {
        Figure::Degrees(_) => exercise.ladder().key,
        // The natural series is written in the key of its length; intervals without a key.
        Figure::Partials(_) => Some(0),
        Figure::Intervals(_) => None,
    };
    let spelling = spelling(shape, key, room.frame);
    let own_root = HOME_KEY + room.frame.above_home(shape.root, room.home);
    if let (Some(level), Figure::Degrees(_), Some(key)) = (room.level, &exercise.figure, key)
        && accidentals(own_root, key) > level.accidentals
    {
        return Err("a key further from the open tube's than the level goes");
    }
    let (fingered, label) = fingerings(shape, &timing, room, &spelling, tempo)?;
    let mut events = Vec::with_capacity(shape.tones.len() * 2 + timing.fill.len());
    let mut load = 0.0;
    for ((tone, beat), fingering) in shape.tones.iter().zip(&timing.beats).zip(fingered) {
        if beat.rest_before.0 > 0 {
            events.push(Event::Rest {
                duration: beat.rest_before,
            });
        }
        let above = room.frame.above_home(tone.key, room.home);
        load += load::of_note(above, beat.dynamic, beat.duration, tempo);
        let (written, sounding) = spelling.tone(tone, shape.root);
        events.push(Event::Note(Note {
            id: String::new(),
            written,
            sounding,
            duration: beat.duration,
            fingering,
            slurred: beat.slurred,
            articulation: beat.articulation,
            dynamic: beat.mark,
        }));
        if beat.breath_after {
            events.push(Event::Breath);
        }
    }
    events.extend(timing.fill.iter().map(|&duration| Event::Rest { duration }));
    let rest_after = rest_after(exercise, &timing, load, tempo);
    let lowest = shape
        .tones
        .iter()
        .map(|t| t.key)
        .min()
        .unwrap_or(shape.root);
    let totals = Totals {
        playing_s: timing.playing.seconds(tempo),
        rest_s: timing.rests.seconds(tempo) + rest_after.seconds(tempo),
        load,
    };
    Ok(Built {
        line: Line {
            id: String::new(),
            label,
            exercise: exercise.title.clone(),
            key: spelling.key,
            root: spelling.drone(shape.root, lowest),
            events,
            rest_after,
            tempo,
            load,
        },
        totals,
    })
}

/// The fingerings of a line and its label.
fn fingerings(
    shape: &Shape,
    timing: &Timing,
    room: &Room<'_>,
    spelling: &Spelling,
    tempo: f64,
) -> Result<(Vec<Fingered>, String), &'static str> {
    let tuning = Tuning {
        temperament: match room.player.intonation {
            Intonation::Equal => Temperament::Equal,
            Intonation::JustOverRoot => Temperament::Just {
                root: room.frame.sounding(shape.root).rem_euclid(12) as u8,
            },
        },
        ..Tuning::default()
    };
    let offset = |tone: &Tone| tuning.offset(room.frame.sounding(tone.key));
    if shape.length.is_some() {
        let (length, partials) =
            length_for(shape, room).ok_or("no length of this tube carries the series")?;
        let fingered = shape
            .tones
            .iter()
            .zip(partials)
            .map(|(tone, partial)| {
                on_length(
                    room.chart,
                    room.frame.sounding(tone.key),
                    length,
                    partial,
                    offset(tone),
                )
            })
            .collect();
        return Ok((fingered, length_label(length)));
    }
    let mut before = 0.0;
    let asked: Vec<Asked> = shape
        .tones
        .iter()
        .zip(&timing.beats)
        .map(|(tone, beat)| {
            let asked = Asked {
                key: room.frame.sounding(tone.key),
                offset: match room.player.intonation {
                    Intonation::Equal => Cents(0.0),
                    Intonation::JustOverRoot => offset(tone),
                },
                slurred: beat.slurred,
                before_s: before + beat.rest_before.seconds(tempo),
            };
            before = beat.duration.seconds(tempo);
            asked
        })
        .collect();
    let fingered = choose(
        &asked,
        room.chart,
        &room.motions,
        room.allowed,
        &room.weights,
    )
    .ok_or("a note without a fingering")?;
    let first = shape
        .tones
        .first()
        .map(|t| spelling.tone(t, shape.root).0.0);
    Ok((
        fingered,
        first.map_or_else(String::new, |p| {
            format!("from {}", class_name(p).trim_end())
        }),
    ))
}

/// The length on which every note of the shape is a partial, and the partials. Of several, the one
/// whose notes stand earliest in the chart.
fn length_for<'r>(shape: &Shape, room: &Room<'r>) -> Option<(&'r Length, Vec<u8>)> {
    let mut best: Option<(u32, &Length, Vec<u8>)> = None;
    for length in &room.instrument.lengths {
        let fundamental = room.frame.fundamental - i32::from(length.semitones);
        if (fundamental - shape.root).rem_euclid(12) != 0 {
            continue;
        }
        let Some(partials) = partials_on(shape, fundamental) else {
            continue;
        };
        // The shape's own partials, when this is the very length that it was made for.
        let octaves_off = (fundamental - shape.root).unsigned_abs() / 12;
        let ranks: u32 = shape
            .tones
            .iter()
            .zip(&partials)
            .map(|(tone, partial)| {
                room.chart
                    .ways(room.frame.sounding(tone.key))
                    .iter()
                    .find(|way| way.length == length.id && way.partial == *partial)
                    .map_or(50, |way| u32::from(way.rank))
            })
            .sum();
        let cost = octaves_off * 10_000 + ranks;
        if best.as_ref().is_none_or(|(least, _, _)| cost < *least) {
            best = Some((cost, length, partials));
        }
    }
    best.map(|(_, length, partials)| (length, partials))
}

fn partials_on(shape: &Shape, fundamental: i32) -> Option<Vec<u8>> {
    shape
        .tones
        .iter()
        .map(|tone| {
            let above = tone.key - fundamental;
            let is = |p: &u8| partial_interval(*p).is_some_and(|i| i.semitones == above);
            tone.partial.filter(is).or_else(|| (1..=16).find(is))
        })
        .collect()
}

fn length_label(length: &Length) -> String {
    match (length.position, length.label.as_str()) {
        (Some(_), label) => format!("position {label}"),
        (None, "0") => "open tube".to_owned(),
        (None, label) => format!("on {label}"),
    }
}

/// Numbers lines and notes from the line with this index on.
pub(crate) fn number(lines: &mut [Line], first: usize) {
    for (i, line) in lines.iter_mut().enumerate() {
        line.id = format!("l{}", first + i + 1);
        let mut n = 0;
        for event in &mut line.events {
            if let Event::Note(note) = event {
                n += 1;
                note.id = format!("{}n{n}", line.id);
            }
        }
    }
}

/// The first note of a shape in words, for reports.
pub(crate) fn start_name(room: &Room<'_>, key: i32, by_length: bool) -> String {
    if by_length {
        room.instrument
            .lengths
            .iter()
            .find(|l| i32::from(l.semitones) == key)
            .map_or_else(
                || format!("{key} semitones below the open tube"),
                length_label,
            )
    } else {
        let written = room.frame.written_key(key);
        name(tone::Pitch::from_midi(written))
    }
}
