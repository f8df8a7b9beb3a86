//! One exercise of a part: plan the shapes, keep to the minutes, build the lines.

use super::bounds::Bounds;
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
    /// Which start of the travel it is, from 0.
    pub(crate) place: usize,
    pub(crate) start: Start,
    pub(crate) shape: Result<Shape, &'static str>,
}

impl Planned {
    /// The start in words.
    pub(crate) fn name(&self, room: &Room<'_>, exercise: &Exercise) -> String {
        let by_length = matches!(exercise.figure, Figure::Partials(_));
        start_name(room, self.start.key, by_length)
    }
}

/// The lines of an exercise with what was left out.
pub(crate) struct Section {
    pub(crate) lines: Vec<Line>,
    pub(crate) left_out: Vec<Omission>,
    pub(crate) totals: Totals,
}

/// The shapes of an exercise for a player.
pub(crate) fn plan(exercise: &Exercise, room: &Room<'_>, seed: u64) -> (Vec<Planned>, Vec<String>) {
    plan_within(
        exercise,
        room,
        &room.bounds,
        &|key| room.playable(key),
        seed,
    )
}

/// The shapes of an exercise within bounds that may be narrower than the room's own.
pub(crate) fn plan_within(
    exercise: &Exercise,
    room: &Room<'_>,
    bounds: &Bounds,
    playable: &dyn Fn(i32) -> bool,
    seed: u64,
) -> (Vec<Planned>, Vec<String>) {
    let ladder = exercise.ladder();
    let bounds = bounds.clone().with_exercise(exercise);
    // Notes of the natural series need no chart: the length carries them.
    let by_partial = matches!(exercise.figure, Figure::Partials(_));
    let rules = Rules {
        exercise,
        ladder: &ladder,
        bounds: &bounds,
        frame: room.frame,
        playable: &|key| by_partial || playable(key),
    };
    let (starts, remarks) = starts(&exercise.travel, &ladder, seed);
    let planned = starts
        .into_iter()
        .enumerate()
        .map(|(place, start)| Planned {
            place,
            start,
            shape: shape(start, &rules),
        })
        .collect();
    (planned, remarks)
}

/// What planning left out, in the words of one player's reading.
pub(crate) fn omissions_of(
    room: &Room<'_>,
    exercise: &Exercise,
    planned: &[Planned],
    remarks: &[String],
) -> Omissions {
    let mut omissions = Omissions::default();
    for remark in remarks {
        omissions.plain("the end of the travel", remark);
    }
    for plan in planned {
        let start = plan.name(room, exercise);
        match &plan.shape {
            Err(why) => omissions.line(start, why),
            Ok(shape) => {
                for (count, why) in &shape.clipped {
                    omissions.notes(*count, start.clone(), why);
                }
            }
        }
    }
    omissions
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
    let mut omissions = omissions_of(room, exercise, planned, &remarks);
    let mut built: Vec<(String, Built)> = Vec::new();
    let mut notes = 0;
    for plan in planned {
        let Ok(shape) = &plan.shape else { continue };
        let start = plan.name(room, exercise);
        notes += shape.tones.len() * usize::from(exercise.repeats);
        if notes > MAX_NOTES_IN_ALL {
            omissions.line(start, "an exercise has at most 20000 notes");
            continue;
        }
        match build(shape, exercise, room, built.len()) {
            Ok(line) => built.push((start, line)),
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

/// Keeps the lines that the minutes hold and reports the others.
fn within_minutes(
    built: Vec<(String, Built)>,
    repeats: u8,
    minutes: f64,
    omissions: &mut Omissions,
) -> Vec<(String, Built)> {
    let seconds: Vec<f64> = built
        .iter()
        .map(|(_, b)| f64::from(repeats) * (b.totals.playing_s + b.totals.rest_s))
        .collect();
    let keep = kept(&seconds, Some(minutes));
    let why = format!("the {minutes:.0} minutes for this exercise are spent");
    built
        .into_iter()
        .enumerate()
        .filter_map(|(i, (start, line))| {
            if keep.contains(&i) {
                Some((start, line))
            } else {
                omissions.line(start, &why);
                None
            }
        })
        .collect()
}

/// Which lines the minutes hold: as many as fit, spread evenly over the travel so that both its
/// ends are heard; always the first.
pub(crate) fn kept(seconds: &[f64], minutes: Option<f64>) -> Vec<usize> {
    let count = seconds.len();
    let limit = minutes.map_or(f64::INFINITY, |m| m * 60.0);
    (1..=count)
        .rev()
        .map(|keep| spread(count, keep).collect::<Vec<_>>())
        .find(|places| {
            places.len() == 1 || places.iter().filter_map(|&i| seconds.get(i)).sum::<f64>() <= limit
        })
        .unwrap_or_default()
}

/// `keep` of `count` places, the first and (from two on) the last among them.
fn spread(count: usize, keep: usize) -> impl Iterator<Item = usize> {
    let gaps = keep.saturating_sub(1).max(1);
    (0..keep).map(move |i| i * count.saturating_sub(1) / gaps)
}
