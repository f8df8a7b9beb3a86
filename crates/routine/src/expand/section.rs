//! One exercise of a part: plan the shapes, keep to the minutes, build the lines.

use super::lines::{Built, build, start_name};
use super::omissions::Omissions;
use super::room::Room;
use super::shape::{Rules, Shape, shape};
use super::starts::{Start, starts};
use crate::exercise::{Exercise, Figure};
use crate::part::{Line, Omission, Totals};

/// Most notes in one exercise's lines.
const MAX_NOTES_IN_ALL: usize = 20_000;

/// A start and the line it gives, or why it gives none.
pub(crate) struct Planned {
    pub(crate) start: Start,
    pub(crate) shape: Result<Shape, &'static str>,
}

/// The lines of an exercise with what was left out.
pub(crate) struct Section {
    pub(crate) lines: Vec<Line>,
    pub(crate) left_out: Vec<Omission>,
    pub(crate) totals: Totals,
}

/// The shapes of an exercise for a player.
pub(crate) fn plan(exercise: &Exercise, room: &Room<'_>, seed: u64) -> (Vec<Planned>, Vec<String>) {
    let ladder = exercise.ladder();
    let bounds = room.bounds.clone().with_exercise(exercise);
    let playable = |key: i32| matches!(exercise.figure, Figure::Partials(_)) || room.playable(key);
    let rules = Rules {
        exercise,
        ladder: &ladder,
        bounds: &bounds,
        frame: room.frame,
        playable: &playable,
    };
    let (starts, remarks) = starts(&exercise.travel, &ladder, seed);
    let planned = starts
        .into_iter()
        .map(|start| Planned {
            start,
            shape: shape(start, &rules),
        })
        .collect();
    (planned, remarks)
}

/// Builds the lines of planned shapes, within `minutes` where given.
pub(crate) fn realise(
    exercise: &Exercise,
    room: &Room<'_>,
    planned: &[Planned],
    remarks: Vec<String>,
    minutes: Option<f64>,
    name_it: bool,
) -> Section {
    let by_length = matches!(exercise.figure, Figure::Partials(_));
    let mut omissions = Omissions::default();
    for remark in remarks {
        omissions.plain("the end of the travel", remark);
    }
    let mut built: Vec<(String, Built)> = Vec::new();
    let mut notes = 0;
    for plan in planned {
        let start = start_name(room, plan.start.key, by_length);
        let shape = match &plan.shape {
            Ok(shape) => shape,
            Err(why) => {
                omissions.line(start, why);
                continue;
            }
        };
        notes += shape.tones.len() * usize::from(exercise.repeats);
        if notes > MAX_NOTES_IN_ALL {
            omissions.line(start, "an exercise has at most 20000 notes");
            continue;
        }
        match build(shape, exercise, room, built.len()) {
            Ok(line) => {
                for (count, why) in &shape.clipped {
                    omissions.notes(*count, start.clone(), why);
                }
                built.push((start, line));
            }
            Err(why) => omissions.line(start, why),
        }
    }
    if let Some(minutes) = minutes {
        built = within_minutes(built, exercise.repeats, minutes, &mut omissions);
    }
    assemble(exercise, built, omissions, name_it)
}

fn assemble(
    exercise: &Exercise,
    built: Vec<(String, Built)>,
    omissions: Omissions,
    name_it: bool,
) -> Section {
    let mut lines = Vec::with_capacity(built.len() * usize::from(exercise.repeats));
    let mut totals = Totals::default();
    for (_, Built { line, totals: own }) in built {
        for time in 1..=exercise.repeats {
            totals.playing_s += own.playing_s;
            totals.rest_s += own.rest_s;
            totals.load += own.load;
            let mut line = line.clone();
            if time > 1 {
                line.label.push_str(", again");
            }
            lines.push(line);
        }
    }
    Section {
        lines,
        left_out: omissions.finish(name_it.then_some(exercise.title.as_str())),
        totals,
    }
}

/// Keeps as many lines as the minutes hold, spread evenly over the travel so that both its ends
/// are heard; always the first.
fn within_minutes(
    built: Vec<(String, Built)>,
    repeats: u8,
    minutes: f64,
    omissions: &mut Omissions,
) -> Vec<(String, Built)> {
    let seconds = |b: &Built| f64::from(repeats) * (b.totals.playing_s + b.totals.rest_s);
    let count = built.len();
    let mut keep = count;
    while keep > 1 {
        let total: f64 = spread(count, keep)
            .filter_map(|i| built.get(i))
            .map(|(_, b)| seconds(b))
            .sum();
        if total <= minutes * 60.0 {
            break;
        }
        keep -= 1;
    }
    let chosen: Vec<usize> = spread(count, keep).collect();
    let why = format!("the {minutes:.0} minutes for this exercise are spent");
    built
        .into_iter()
        .enumerate()
        .filter_map(|(i, (start, line))| {
            if chosen.contains(&i) {
                Some((start, line))
            } else {
                omissions.line(start, &why);
                None
            }
        })
        .collect()
}

/// `keep` of `count` places, the first and (from two on) the last among them.
fn spread(count: usize, keep: usize) -> impl Iterator<Item = usize> {
    let gaps = keep.saturating_sub(1).max(1);
    (0..keep).map(move |i| i * count.saturating_sub(1) / gaps)
}
