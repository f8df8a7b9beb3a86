//! Expansion: from an exercise and a player to the lines of a part. Pure; the same input gives
//! the same output, byte for byte.

mod bounds;
mod frame;
mod lines;
mod omissions;
mod room;
mod section;
mod shape;
mod spell;
mod starts;
mod timing;

use horn::{Chart, Instrument};

use crate::exercise::{Exercise, Problem};
use crate::level::Levels;
use crate::part::{self, Part, Totals};
use crate::player::{Limits, Player};
pub(crate) use bounds::Bounds;
pub(crate) use lines::{Built, build};
pub(crate) use room::Room;
pub(crate) use section::{Planned, Section, kept, omissions_of, plan, plan_within, realise};

/// The caution that stands on every part.
pub const GENERAL_CAUTION: &str = "Stop and rest if anything hurts, goes numb, makes you dizzy or \
stops responding; trouble that stays belongs to a licensed clinician. Rest as long as you play. \
Your teacher's and local rules come first.";

/// Why an exercise cannot be expanded at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExpandError {
    /// The exercise contradicts itself.
    #[error("exercise `{exercise}` cannot be expanded: {problem}")]
    Exercise {
        /// Its id.
        exercise: String,
        /// The first contradiction ([`Exercise::problems`] lists all).
        problem: Problem,
    },
    /// The player's level is not in the levels file.
    #[error("level `{level}` is not known: choose one of {known}")]
    Level {
        /// What was asked for.
        level: String,
        /// The ids there are.
        known: String,
    },
    /// The player's reading is not one of the instrument's.
    #[error("`{instrument}` is not read as `{reading}`: choose one of {known}")]
    Reading {
        /// What was asked for.
        reading: String,
        /// The instrument.
        instrument: String,
        /// The ids there are.
        known: String,
    },
    /// The instrument's data leave nothing to work with.
    #[error("instrument `{instrument}` {what}: mend its file")]
    Instrument {
        /// Its id.
        instrument: String,
        /// What is wrong.
        what: &'static str,
    },
    /// A routine names an exercise that is not there.
    #[error("the routine names exercise `{exercise}`, which is not there{suggestion}")]
    Missing {
        /// The id.
        exercise: String,
        /// The nearest id, in words; empty when none is near.
        suggestion: String,
    },
    /// A class without members.
    #[error("a class needs at least one player")]
    NoMembers,
}

/// What an expansion starts from, besides the exercise.
#[derive(Clone, Copy, Debug)]
pub struct Setup<'s> {
    /// For whom.
    pub player: &'s Player,
    /// On which instrument.
    pub instrument: &'s Instrument,
    /// Its chart.
    pub chart: &'s Chart,
    /// The levels file.
    pub levels: &'s Levels,
    /// The seed of the day, for orders that are drawn.
    pub seed: u64,
}

/// Writes one exercise for one player.
///
/// Lines and notes outside the player's limits are left out by rule and listed in
/// [`Part::left_out`]; a part may end up without lines, with the reasons in that list.
///
/// # Errors
/// [`ExpandError`] when the exercise contradicts itself, or when the player's level or reading is
/// not known.
pub fn expand(
    exercise: &Exercise,
    player: &Player,
    instrument: &Instrument,
    chart: &Chart,
    levels: &Levels,
    seed: u64,
) -> Result<Part, ExpandError> {
    let setup = Setup {
        player,
        instrument,
        chart,
        levels,
        seed,
    };
    check(exercise)?;
    let room = Room::new(&setup, 0)?;
    let (planned, remarks) = plan(exercise, &room, seed);
    let minutes = room.level.map(|level| level.minutes);
    let section = realise(exercise, &room, &planned, remarks, minutes, false);
    let mut part = blank(&room, exercise.title.clone(), exercise.purpose.clone());
    part.words.clone_from(&exercise.words);
    add_section(&mut part, exercise, section);
    finish(&mut part, &room);
    Ok(part)
}

/// Refuses an exercise that contradicts itself.
pub(crate) fn check(exercise: &Exercise) -> Result<(), ExpandError> {
    match exercise.problems().into_iter().next() {
        Some(problem) => Err(ExpandError::Exercise {
            exercise: exercise.id.clone(),
            problem,
        }),
        None => Ok(()),
    }
}

/// A part without lines.
pub(crate) fn blank(room: &Room<'_>, title: String, purpose: String) -> Part {
    Part {
        title,
        purpose,
        cautions: vec![GENERAL_CAUTION.to_owned()],
        words: String::new(),
        player: room.player.name.clone(),
        instrument: room.instrument.id.clone(),
        instrument_name: room.instrument.name.clone(),
        clef: room.reading.clef,
        transposition: room.reading.transposition,
        meter: None,
        lines: Vec::new(),
        sections: Vec::new(),
        left_out: Vec::new(),
        warnings: Vec::new(),
        totals: Totals::default(),
    }
}

/// Appends an exercise's lines to a part.
pub(crate) fn add_section(part: &mut Part, exercise: &Exercise, mut section: Section) {
    let first_line = part.lines.len();
    lines::number(&mut section.lines, first_line);
    if part.sections.is_empty() {
        part.meter = exercise.meter.0;
    }
    for caution in &exercise.cautions {
        if !part.cautions.contains(caution) {
            part.cautions.push(caution.clone());
        }
    }
    part.totals.playing_s += section.totals.playing_s;
    part.totals.rest_s += section.totals.rest_s;
    part.totals.load += section.totals.load;
    part.sections.push(part::Section {
        exercise: exercise.id.clone(),
        title: exercise.title.clone(),
        purpose: exercise.purpose.clone(),
        words: exercise.words.clone(),
        cautions: exercise.cautions.clone(),
        meter: exercise.meter.0,
        first_line,
        line_count: section.lines.len(),
        totals: section.totals,
    });
    part.lines.append(&mut section.lines);
    part.left_out.append(&mut section.left_out);
}

/// Compares the totals with what the player's day allows.
pub(crate) fn finish(part: &mut Part, room: &Room<'_>) {
    let Limits {
        playing_minutes,
        load_minutes,
        ..
    } = room.limits;
    let (playing, load) = (part.totals.playing_s / 60.0, part.totals.load / 60.0);
    if playing > playing_minutes {
        part.warnings.push(format!(
            "{playing:.0} minutes of playing are more than the {playing_minutes:.0} of a day's limit: \
             leave something out or split the day"
        ));
    }
    if load > load_minutes {
        part.warnings.push(format!(
            "a load of {load:.0} minutes is more than the {load_minutes:.0} of a day's limit: \
             play less, lower or softer, and rest more"
        ));
    }
}
