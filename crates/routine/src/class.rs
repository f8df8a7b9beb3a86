//! A class of mixed brass: everybody's part of one exercise, sounding together over one drone.

use horn::{Chart, Instrument};
use tone::{Interval, Pitch, Sounding};

use crate::exercise::{Exercise, HOME_KEY};
use crate::expand::{
    Bounds, Built, ExpandError, Planned, Room, Section, Setup, add_section, blank, build, check,
    finish, kept, omissions_of, plan_within,
};
use crate::level::Levels;
use crate::part::{Event, Line, Part, Ticks, Totals};
use crate::player::Player;
use crate::routine::Routine;

/// Lowest sounding key of a shared drone: it lies in the octave from here.
const DRONE_FROM: i32 = 46;

/// One member of a class.
#[derive(Clone, Copy, Debug)]
pub struct Member<'m> {
    /// Who.
    pub player: &'m Player,
    /// On what.
    pub instrument: &'m Instrument,
    /// Its chart.
    pub chart: &'m Chart,
}

/// Everybody's part. Lines with the same index belong together: same pitch classes, same lengths
/// of time, same drone.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// In the order of the members.
    pub parts: Vec<Part>,
    /// The drone of each line.
    pub drones: Vec<Sounding>,
}

/// Writes one exercise for a class.
///
/// The members agree on one home (the one most of them have; the first's when there is a tie) and
/// each plays the lines in the octave nearest to their own. Roof and floor are those that suit
/// everybody, the tempo is the calmest, the rest the longest. A member whose tube or level cannot
/// take a line rests through it, and their part says why.
///
/// # Errors
/// As [`expand`](crate::expand()), and [`ExpandError::NoMembers`].
pub fn expand_class(
    exercise: &Exercise,
    members: &[Member<'_>],
    levels: &Levels,
    seed: u64,
) -> Result<Class, ExpandError> {
    check(exercise)?;
    let rooms = rooms(members, levels, seed)?;
    let minutes = least_minutes(&rooms);
    let mut class = Class {
        parts: rooms
            .iter()
            .map(|room| {
                let mut part = blank(room, exercise.title.clone(), exercise.purpose.clone());
                part.words.clone_from(&exercise.words);
                part
            })
            .collect(),
        drones: Vec::new(),
    };
    add_exercise(&mut class, exercise, &rooms, minutes, seed, false);
    for (part, room) in class.parts.iter_mut().zip(&rooms) {
        finish(part, room);
    }
    Ok(class)
}

/// Writes a day's routine for a class: everybody's booklet, section by section together.
///
/// # Errors
/// As [`expand_class`], and [`ExpandError::Missing`] when a step names an exercise that is not
/// among `exercises`.
pub fn expand_class_routine(
    routine: &Routine,
    exercises: &[Exercise],
    members: &[Member<'_>],
    levels: &Levels,
    seed: u64,
) -> Result<Class, ExpandError> {
    let mut rooms = rooms(members, levels, seed)?;
    for room in &mut rooms {
        routine.limit(room);
    }
    let mut class = Class {
        parts: rooms.iter().map(|room| routine.blank(room)).collect(),
        drones: Vec::new(),
    };
    let level_minutes = least_minutes(&rooms);
    for (exercise, minutes) in routine.exercises(exercises, level_minutes)? {
        add_exercise(&mut class, &exercise, &rooms, minutes, seed, true);
    }
    for (part, room) in class.parts.iter_mut().zip(&rooms) {
        finish(part, room);
        routine.compare_minutes(part);
    }
    Ok(class)
}

fn least_minutes(rooms: &[Room<'_>]) -> Option<f64> {
    rooms
        .iter()
        .filter_map(|r| r.level.map(|l| l.minutes))
        .reduce(f64::min)
}

/// Adds one exercise as a section to everybody's part.
fn add_exercise(
    class: &mut Class,
    exercise: &Exercise,
    rooms: &[Room<'_>],
    minutes: Option<f64>,
    seed: u64,
    name_it: bool,
) {
    let Some(lead) = rooms.first() else { return };
    let bounds = shared_bounds(rooms, lead.bounds.clone());
    let playable = |key: i32| rooms.iter().all(|room| room.playable(key));
    let (planned, remarks) = plan_within(exercise, lead, &bounds, &playable, seed);
    let rows: Vec<Row> = planned
        .iter()
        .map(|plan| row(plan, exercise, rooms))
        .collect();
    let keep = keep(&rows, exercise.repeats, minutes);
    for (index, (room, part)) in rooms.iter().zip(&mut class.parts).enumerate() {
        let mut left = omissions_of(room, exercise, &planned, &remarks);
        let mut lines = Vec::new();
        let mut totals = Totals::default();
        for (r, row) in rows.iter().enumerate() {
            let Some(model) = row.model() else {
                if let Some(Err(why)) = row.built.get(index) {
                    left.line(row.start.clone(), why);
                }
                continue;
            };
            if !keep.contains(&r) {
                left.line(row.start.clone(), "the minutes for this exercise are spent");
                continue;
            }
            let (line, own) = match row.built.get(index) {
                Some(Ok(built)) => (built.line.clone(), built.totals),
                Some(Err(why)) => {
                    left.line(row.start.clone(), why);
                    silent(&model.line, model.totals)
                }
                None => continue,
            };
            let (line, own) = together(line, own, row);
            for time in 1..=exercise.repeats {
                let mut line = line.clone();
                if time > 1 {
                    line.label.push_str(", again");
                }
                if index == 0 {
                    class.drones.push(line.root);
                }
                totals.playing_s += own.playing_s;
                totals.rest_s += own.rest_s;
                totals.load += own.load;
                lines.push(line);
            }
        }
        let left_out = left.finish(name_it.then_some(exercise.title.as_str()));
        add_section(
            part,
            exercise,
            Section {
                lines,
                left_out,
                totals,
            },
        );
    }
}

/// One line as each member has it.
struct Row {
    start: String,
    built: Vec<Result<Built, &'static str>>,
    rest_after: Ticks,
    drone: Option<Sounding>,
}

impl Row {
    fn model(&self) -> Option<&Built> {
        self.built.iter().find_map(|b| b.as_ref().ok())
    }
}

fn row(plan: &Planned, exercise: &Exercise, rooms: &[Room<'_>]) -> Row {
    let start = rooms
        .first()
        .map_or_else(String::new, |room| plan.name(room, exercise));
    let built: Vec<Result<Built, &'static str>> = match &plan.shape {
        Ok(shape) => rooms
            .iter()
            .map(|room| build(shape, exercise, room, plan.place))
            .collect(),
        Err(_) => Vec::new(),
    };
    let lines = || built.iter().flatten().map(|b| &b.line);
    let rest_after = lines().map(|l| l.rest_after).max().unwrap_or_default();
    let drone = lines().next().map(|l| near_drone(l.root));
    Row {
        start,
        built,
        rest_after,
        drone,
    }
}

/// The rooms of all members on one home, at the calmest tempo.
fn rooms<'m>(
    members: &[Member<'m>],
    levels: &'m Levels,
    seed: u64,
) -> Result<Vec<Room<'m>>, ExpandError> {
    let setups: Vec<Setup<'m>> = members
        .iter()
        .map(|m| Setup {
            player: m.player,
            instrument: m.instrument,
            chart: m.chart,
            levels,
            seed,
        })
        .collect();
    let own: Vec<Room<'m>> = setups
        .iter()
        .map(|s| Room::new(s, 0))
        .collect::<Result<_, _>>()?;
    let classes: Vec<i32> = own
        .iter()
        .map(|r| r.frame.sounding(HOME_KEY).rem_euclid(12))
        .collect();
    let count = |class: i32| classes.iter().filter(|c| **c == class).count();
    let most = classes.iter().map(|c| count(*c)).max().unwrap_or(0);
    let Some(home) = classes.iter().copied().find(|c| count(*c) == most) else {
        return Err(ExpandError::NoMembers);
    };
    let calmest = own.iter().map(|r| r.tempo_share).fold(1.0, f64::min);
    setups
        .iter()
        .zip(&classes)
        .map(|(setup, class)| {
            // The nearest octave: at most a tritone from the instrument's own home.
            let up = (home - class).rem_euclid(12);
            let mut room = Room::new(setup, if up > 6 { up - 12 } else { up })?;
            room.tempo_share = calmest;
            Ok(room)
        })
        .collect()
}

fn shared_bounds(rooms: &[Room<'_>], first: Bounds) -> Bounds {
    rooms.iter().fold(first, |mut bounds, room| {
        bounds.lower_roof(room.bounds.roof.key, "the roof that suits the whole class");
        bounds.raise_floor(
            room.bounds.floor.key,
            "the floor that suits the whole class",
        );
        bounds
    })
}

fn keep(rows: &[Row], repeats: u8, minutes: Option<f64>) -> Vec<usize> {
    let with_lines: Vec<(usize, f64)> = rows
        .iter()
        .enumerate()
        .filter_map(|(i, row)| {
            let model = row.model()?;
            let longer = row.rest_after.seconds(model.line.tempo)
                - model.line.rest_after.seconds(model.line.tempo);
            let seconds = model.totals.playing_s + model.totals.rest_s + longer;
            Some((i, f64::from(repeats) * seconds))
        })
        .collect();
    let seconds: Vec<f64> = with_lines.iter().map(|(_, s)| *s).collect();
    kept(&seconds, minutes)
        .into_iter()
        .filter_map(|k| with_lines.get(k).map(|(i, _)| *i))
        .collect()
}

/// The same line as a rest for a member who cannot play it.
fn silent(model: &Line, totals: Totals) -> (Line, Totals) {
    let ticks = model
        .events
        .iter()
        .map(|event| match event {
            Event::Note(note) => note.duration.0,
            Event::Rest { duration } => duration.0,
            Event::Breath => 0,
        })
        .sum();
    let line = Line {
        label: format!("{} (rest)", model.label),
        events: vec![Event::Rest {
            duration: Ticks(ticks),
        }],
        load: 0.0,
        ..model.clone()
    };
    let rest_s = totals.playing_s + totals.rest_s;
    (
        line,
        Totals {
            playing_s: 0.0,
            rest_s,
            load: 0.0,
        },
    )
}

/// The class's rest and drone on a member's line.
fn together(mut line: Line, mut totals: Totals, row: &Row) -> (Line, Totals) {
    totals.rest_s += row.rest_after.seconds(line.tempo) - line.rest_after.seconds(line.tempo);
    line.rest_after = row.rest_after;
    line.root = row.drone.unwrap_or(line.root);
    (line, totals)
}

/// The same pitch class in the octave of the drone.
fn near_drone(root: Sounding) -> Sounding {
    let octaves = -(root.midi() - DRONE_FROM).div_euclid(12);
    let pitch: Pitch = root.0 + Interval::new(7 * octaves, 12 * octaves);
    Sounding(pitch)
}
