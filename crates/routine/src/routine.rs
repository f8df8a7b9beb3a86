//! A day's routine: exercises in order, with minutes, made into one part.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::exercise::{Exercise, Tempo};
use crate::expand::{ExpandError, Room, Setup, add_section, blank, check, finish, plan, realise};
use crate::part::Part;
use crate::player::Limits;

/// Most steps of a routine.
pub const MAX_STEPS: usize = 100;

/// Exercises in order, with what the day allows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Routine {
    /// Version of the format: 1.
    pub version: u32,
    /// Identifier: lower-case words with hyphens.
    pub id: String,
    /// Title on the page.
    pub title: String,
    /// What it is for, in one sentence.
    pub purpose: String,
    /// The teacher's own words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Minutes for the whole, rests included; steps without minutes of their own share what is left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// What this day may ask; the player's own limits hold as well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<Limits>,
    /// The exercises in order.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
}

/// One exercise of a routine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Id of the exercise.
    pub exercise: String,
    /// Minutes for it, rests included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Another tempo than the exercise's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tempo: Option<f64>,
    /// Words for today, after the exercise's own.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// Writes a routine for one player: one part with a section for each exercise.
///
/// ```
/// use routine::{Levels, Player, Setup, library, routine::expand_routine};
/// let day = library::routines().first().unwrap();
/// let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
/// let chart = horn::ideal::chart(trumpet, &tone::Tuning::default());
/// let levels = Levels::standard();
/// let mut player = Player::named("Ada");
/// player.level = Some("third".to_owned());
/// let setup = Setup { player: &player, instrument: trumpet, chart: &chart, levels: &levels, seed: 1 };
/// let part = expand_routine(day, library::exercises(), &setup).unwrap();
/// assert_eq!(part.sections.len(), day.steps.len());
/// ```
///
/// # Errors
/// As [`expand`](crate::expand()), and [`ExpandError::Missing`] when a step names an exercise that
/// is not among `exercises`.
pub fn expand_routine(
    routine: &Routine,
    exercises: &[Exercise],
    setup: &Setup<'_>,
) -> Result<Part, ExpandError> {
    let mut room = Room::new(setup, 0)?;
    routine.limit(&mut room);
    let mut part = routine.blank(&room);
    for (exercise, minutes) in routine.exercises(exercises, room.level.map(|l| l.minutes))? {
        let (planned, remarks) = plan(&exercise, &room, setup.seed);
        let section = realise(&exercise, &room, &planned, remarks, minutes, true);
        add_section(&mut part, &exercise, section);
    }
    finish(&mut part, &room);
    routine.compare_minutes(&mut part);
    Ok(part)
}

impl Routine {
    /// The stricter of the player's and the day's limits.
    pub(crate) fn limit(&self, room: &mut Room<'_>) {
        if let Some(day) = self.limits {
            room.limits = stricter(room.limits, day);
        }
    }

    /// The part before its first section.
    pub(crate) fn blank(&self, room: &Room<'_>) -> Part {
        let mut part = blank(room, self.title.clone(), self.purpose.clone());
        part.words.clone_from(&self.words);
        part
    }

    /// The exercises of the steps with their minutes, checked.
    pub(crate) fn exercises(
        &self,
        exercises: &[Exercise],
        level_minutes: Option<f64>,
    ) -> Result<Vec<(Exercise, Option<f64>)>, ExpandError> {
        self.steps
            .iter()
            .take(MAX_STEPS)
            .map(|step| {
                let exercise = of_step(step, exercises)?;
                check(&exercise)?;
                Ok((exercise, minutes_of(step, self, level_minutes)))
            })
            .collect()
    }

    /// Warns when the part takes longer than the routine planned.
    pub(crate) fn compare_minutes(&self, part: &mut Part) {
        let minutes = (part.totals.playing_s + part.totals.rest_s) / 60.0;
        if let Some(asked) = self.minutes
            && minutes > asked * 1.05
        {
            part.warnings.push(format!(
                "the routine takes {minutes:.0} minutes where {asked:.0} were planned: give steps \
                 fewer minutes"
            ));
        }
    }
}

fn of_step(step: &Step, exercises: &[Exercise]) -> Result<Exercise, ExpandError> {
    let mut exercise = exercises
        .iter()
        .find(|e| e.id == step.exercise)
        .cloned()
        .ok_or_else(|| ExpandError::Missing {
            exercise: step.exercise.clone(),
            suggestion: crate::file::nearest(
                &step.exercise,
                exercises.iter().map(|e| e.id.as_str()),
            )
            .map_or_else(String::new, |near| format!(": did you mean `{near}`?")),
        })?;
    if let Some(tempo) = step.tempo {
        exercise.tempo = Tempo::One(tempo);
    }
    if !step.words.is_empty() {
        if !exercise.words.is_empty() {
            exercise.words.push(' ');
        }
        exercise.words.push_str(&step.words);
    }
    Ok(exercise)
}

/// A step's own minutes, or its share of what the routine leaves, or the level's.
fn minutes_of(step: &Step, routine: &Routine, level: Option<f64>) -> Option<f64> {
    if step.minutes.is_some() {
        return step.minutes;
    }
    let Some(whole) = routine.minutes else {
        return level;
    };
    let given: f64 = routine.steps.iter().filter_map(|s| s.minutes).sum();
    let open = routine.steps.iter().filter(|s| s.minutes.is_none()).count();
    Some((whole - given).max(0.0) / open.max(1) as f64)
}

fn stricter(a: Limits, b: Limits) -> Limits {
    Limits {
        playing_minutes: a.playing_minutes.min(b.playing_minutes),
        load_minutes: a.load_minutes.min(b.load_minutes),
        breath_seconds: a.breath_seconds.min(b.breath_seconds),
    }
}
