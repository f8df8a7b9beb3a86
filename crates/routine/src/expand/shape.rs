//! The notes of one line before they are spelled, fingered and timed.

use super::bounds::Bounds;
use super::frame::{Frame, partial_interval};
use super::starts::Start;
use crate::exercise::{Carry, Clip, Exercise, Figure, Ladder, LeapRoot, Roof, Turn};

/// Most notes of a line.
pub(crate) const MAX_NOTES: usize = 512;

/// A note of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Tone {
    /// Tube key.
    pub(crate) key: i32,
    /// Staff steps above the root, where the harmony has a spelling.
    pub(crate) steps: Option<i32>,
    /// Which statement of the figure it belongs to.
    pub(crate) pass: u16,
    /// Partial, when the figure is made of partials.
    pub(crate) partial: Option<u8>,
}

/// One line.
#[derive(Clone, Debug)]
pub(crate) struct Shape {
    /// Tube key of the root.
    pub(crate) root: i32,
    /// Semitones below the open tube, when the figure is made of partials.
    pub(crate) length: Option<i32>,
    /// The notes.
    pub(crate) tones: Vec<Tone>,
    /// Notes left out, with the reason.
    pub(crate) clipped: Vec<(usize, &'static str)>,
}

/// What a line may use.
pub(crate) struct Rules<'r> {
    pub(crate) exercise: &'r Exercise,
    pub(crate) ladder: &'r Ladder,
    pub(crate) bounds: &'r Bounds,
    pub(crate) frame: Frame,
    /// Whether a tube key has a fingering that is allowed.
    pub(crate) playable: &'r dyn Fn(i32) -> bool,
}

const NO_FINGERING: &str =
    "no fingering, or only a pedal or false note that the player's settings do not ask for";

/// The line from a start, or why there is none.
pub(crate) fn shape(start: Start, rules: &Rules<'_>) -> Result<Shape, &'static str> {
    let mut shape = match &rules.exercise.figure {
        Figure::Partials(partials) => along_series(start, partials, rules)?,
        Figure::Degrees(_) | Figure::Intervals(_) => along_ladder(start, rules)?,
    };
    if rules.exercise.turn == Turn::Back {
        turn_back(&mut shape.tones);
    }
    if shape.tones.len() > MAX_NOTES {
        shape.clipped.push((
            shape.tones.len() - MAX_NOTES,
            "a line has at most 512 notes",
        ));
        shape.tones.truncate(MAX_NOTES);
    }
    Ok(shape)
}

fn along_series(start: Start, partials: &[u8], rules: &Rules<'_>) -> Result<Shape, &'static str> {
    let fundamental = rules.frame.fundamental - start.key;
    let mut tones = Vec::with_capacity(partials.len());
    for &partial in partials {
        let interval = partial_interval(partial).ok_or("a partial beyond 16")?;
        tones.push(Tone {
            key: fundamental + interval.semitones,
            steps: Some(interval.steps),
            pass: 0,
            partial: Some(partial),
        });
    }
    let roof = roof_of(tones.first().map_or(0, |t| t.key), rules);
    let mut clipped = Vec::new();
    clip(&mut tones, roof, rules, &mut clipped)?;
    Ok(Shape {
        root: fundamental,
        length: Some(start.key),
        tones,
        clipped,
    })
}

fn along_ladder(start: Start, rules: &Rules<'_>) -> Result<Shape, &'static str> {
    if !rules.bounds.holds(start.key) {
        return Err(rules.bounds.why_not(start.key));
    }
    if !(rules.playable)(start.key) {
        return Err(NO_FINGERING);
    }
    let exercise = rules.exercise;
    let (root, base, lead) = foot(start, rules)?;
    let figure: Vec<i32> = match &exercise.figure {
        Figure::Degrees(degrees) => degrees
            .iter()
            .filter_map(|&d| rules.ladder.rung_of_degree(d))
            .collect(),
        Figure::Intervals(semitones) => semitones.clone(),
        Figure::Partials(_) => Vec::new(),
    };
    let spelled_by_size = matches!(exercise.figure, Figure::Intervals(_));
    let tone = |rung: i32, pass: u16| {
        let above = rules.ladder.semitones(rung);
        Tone {
            key: root + above,
            steps: if spelled_by_size {
                Some(usual_steps(above))
            } else {
                rules.ladder.steps(rung)
            },
            pass,
            partial: None,
        }
    };
    let roof = roof_of(start.key, rules);
    let mut clipped = Vec::new();
    let mut tones: Vec<Tone> = lead.into_iter().collect();
    let first_pass = figure.iter().map(|&rung| tone(base + rung, 0));
    if let Some(carry) = exercise.carry {
        carry_on(&mut tones, &figure, base, carry, roof, rules, &tone);
        clip(&mut tones, roof, rules, &mut clipped)?;
        arrive(&mut tones, root, carry, roof, rules, &tone);
    } else {
        tones.extend(first_pass);
        clip(&mut tones, roof, rules, &mut clipped)?;
    }
    Ok(Shape {
        root,
        length: None,
        tones,
        clipped,
    })
}

/// Root, the rung where the figure begins, and the note before a leap.
fn foot(start: Start, rules: &Rules<'_>) -> Result<(i32, i32, Option<Tone>), &'static str> {
    let outside = "the start is not a note of the harmony";
    let base = rules
        .ladder
        .rung_of_semitones(start.key - start.root)
        .ok_or(outside)?;
    let Some(leap) = rules.exercise.leap else {
        return Ok((start.root, base, None));
    };
    let landing = start.key + leap.semitones;
    let steps = Some(usual_steps(start.key - start.root));
    match leap.root {
        LeapRoot::Start => {
            let rung = rules
                .ladder
                .rung_of_semitones(landing - start.root)
                .ok_or("the leap does not land on a note of the harmony")?;
            let lead = Tone {
                key: start.key,
                steps: rules.ladder.steps(base).or(steps),
                pass: 0,
                partial: None,
            };
            Ok((start.root, rung, Some(lead)))
        }
        LeapRoot::Landing => {
            let lead = Tone {
                key: start.key,
                steps: Some(-usual_steps(leap.semitones)),
                pass: 0,
                partial: None,
            };
            Ok((landing, 0, Some(lead)))
        }
    }
}

/// The roof that counts for a line.
fn roof_of(start: i32, rules: &Rules<'_>) -> i32 {
    match rules.exercise.roof {
        Some(Roof::Above { above }) => rules.bounds.roof.key.min(start + i32::from(above)),
        _ => rules.bounds.roof.key,
    }
}

/// States the figure again and again until the roof (or the floor) is passed.
fn carry_on(
    tones: &mut Vec<Tone>,
    figure: &[i32],
    base: i32,
    carry: Carry,
    roof: i32,
    rules: &Rules<'_>,
    tone: &dyn Fn(i32, u16) -> Tone,
) {
    let (Some(&first), Some(&last)) = (figure.first(), figure.last()) else {
        return;
    };
    let size = rules.ladder.size().max(1);
    // A figure that closes an octave (1 3 5 8) goes on from its last note.
    let joins = (last - first) % size == 0 && last != first && (last > first) == carry.is_up();
    let shift = match carry {
        Carry::Octaves | Carry::OctavesDown if joins => last - first,
        Carry::Octaves => size,
        Carry::OctavesDown => -size,
        Carry::Steps => 1,
        Carry::StepsDown => -1,
    };
    let whole = matches!(carry, Carry::Steps | Carry::StepsDown);
    let outside = |t: &Tone| {
        if carry.is_up() {
            t.key > roof
        } else {
            t.key < rules.bounds.floor.key
        }
    };
    for pass in 0.. {
        let Ok(number) = u16::try_from(pass) else {
            return;
        };
        let statement: Vec<Tone> = figure
            .iter()
            .map(|&rung| tone(base + rung + shift * pass, number))
            .collect();
        let passed = statement.iter().position(outside);
        // A sequence by steps ends with the last statement that fits whole.
        if whole && passed.is_some() && pass > 0 {
            return;
        }
        for t in statement.into_iter().take(passed.unwrap_or(usize::MAX)) {
            if joins && pass > 0 && tones.last().is_some_and(|l| l.key == t.key) {
                continue;
            }
            tones.push(t);
            if tones.len() >= MAX_NOTES {
                return;
            }
        }
        if passed.is_some() {
            return;
        }
    }
}

/// Makes sure that a carried line arrives at the last note of the harmony before the roof or floor.
fn arrive(
    tones: &mut Vec<Tone>,
    root: i32,
    carry: Carry,
    roof: i32,
    rules: &Rules<'_>,
    tone: &dyn Fn(i32, u16) -> Tone,
) {
    let (target, reached) = if carry.is_up() {
        (
            highest_rung(root, roof, rules),
            tones.iter().map(|t| t.key).max(),
        )
    } else {
        (
            lowest_rung(root, rules.bounds.floor.key, rules),
            tones.iter().map(|t| t.key).min(),
        )
    };
    let (Some(target), Some(reached)) = (target, reached) else {
        return;
    };
    let pass = tones.last().map_or(0, |t| t.pass);
    let t = tone(target, pass);
    let short = if carry.is_up() {
        t.key > reached
    } else {
        t.key < reached
    };
    if short && (rules.playable)(t.key) && rules.bounds.holds(t.key) {
        tones.push(t);
    }
}

fn highest_rung(root: i32, roof: i32, rules: &Rules<'_>) -> Option<i32> {
    let size = rules.ladder.size();
    let from = (roof - root).div_euclid(12) * size;
    (from..=from + size)
        .rev()
        .find(|&rung| root + rules.ladder.semitones(rung) <= roof)
}

fn lowest_rung(root: i32, floor: i32, rules: &Rules<'_>) -> Option<i32> {
    let size = rules.ladder.size();
    let from = (floor - root).div_euclid(12) * size;
    (from..=from + size).find(|&rung| root + rules.ladder.semitones(rung) >= floor)
}

/// Leaves out what lies outside, or the line.
fn clip(
    tones: &mut Vec<Tone>,
    roof: i32,
    rules: &Rules<'_>,
    clipped: &mut Vec<(usize, &'static str)>,
) -> Result<(), &'static str> {
    let why = |key: i32| {
        if key > rules.bounds.roof.key || key < rules.bounds.floor.key {
            Some(rules.bounds.why_not(key))
        } else if key > roof {
            Some("the moving roof of the line")
        } else if !(rules.playable)(key) {
            Some(NO_FINGERING)
        } else {
            None
        }
    };
    if rules.exercise.clip_rule() == Clip::Line {
        return match tones.iter().find_map(|t| why(t.key)) {
            Some(reason) => Err(reason),
            None => Ok(()),
        };
    }
    tones.retain(|t| match why(t.key) {
        None => true,
        Some(reason) => {
            match clipped.iter_mut().find(|(_, r)| *r == reason) {
                Some((count, _)) => *count += 1,
                None => clipped.push((1, reason)),
            }
            false
        }
    });
    if tones.is_empty() {
        return Err(clipped.first().map_or(NO_FINGERING, |(_, reason)| reason));
    }
    Ok(())
}

/// Adds the way back, without sounding the far end twice.
fn turn_back(tones: &mut Vec<Tone>) {
    let far = tones.last().map_or(0, |t| t.pass);
    let back: Vec<Tone> = tones
        .iter()
        .rev()
        .skip(1)
        .map(|t| Tone {
            pass: far + 1 + (far - t.pass),
            ..*t
        })
        .collect();
    tones.extend(back);
}

/// Staff steps of an interval by its size: a fourth for five semitones, an augmented fourth for six.
pub(crate) fn usual_steps(semitones: i32) -> i32 {
    const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
    let within = semitones.rem_euclid(12) as usize;
    STEPS.get(within).copied().unwrap_or(0) + 7 * semitones.div_euclid(12)
}
