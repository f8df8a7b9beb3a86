//! A part as sound.

use routine::part::{Articulation, Part};
use serde::{Deserialize, Serialize};

use crate::drone::{Drone, Stack, add_span};
use crate::level::level_dbfs;
use crate::phrase::{self, Held};
use crate::timeline::{self, TimedLine};
use crate::{Audio, Mark, Playback, Rate, VoiceError, click};

/// What is heard besides the notes, and how they are tuned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Settings {
    /// How the notes are tuned.
    pub playback: Playback,
    /// A bar of clicks before each line, as far as the rest before it has room.
    pub count_in: bool,
    /// A click on every beat.
    pub click: bool,
    /// A drone on each line's root, from its count-in to its end.
    pub drone: Option<Stack>,
    /// Leave the notes out: only drone and clicks, to play along with.
    pub without_notes: bool,
}

/// Renders a part: every note at its time with its articulation and dynamic, rests silent.
///
/// # Errors
/// [`VoiceError::Tempo`] for a tempo that is out of range, [`VoiceError::Frequency`] for a note too
/// high for the rate, [`VoiceError::Long`] for more than an hour.
pub fn part(part: &Part, settings: &Settings, rate: Rate) -> Result<Audio, VoiceError> {
    /// Silence after the last line, so that nothing is cut off, seconds.
    const TAIL_S: f64 = 0.1;
    let (lines, seconds) = timeline::lay_out(part, settings.count_in)?;
    let mut mix = vec![0.0; rate.sample(seconds + TAIL_S)];
    let mut marks = Vec::new();
    for line in &lines {
        if !settings.without_notes {
            notes(&mut mix, &mut marks, line, settings, rate)?;
        }
        if let Some(stack) = settings.drone {
            let (root, fifth) = settings.playback.root(line.line);
            let drone = Drone::new(root, stack, fifth, rate)?;
            add_span(
                &mut mix,
                rate.sample(line.from)..rate.sample(line.end),
                drone,
            );
        }
        let beats = line.beats.iter().filter(|_| settings.click);
        for beat in line.count_in.iter().chain(beats) {
            click::add(&mut mix, rate, rate.sample(beat.at), beat.first);
        }
    }
    Ok(Audio::from_mix(rate, mix, marks))
}

fn notes(
    mix: &mut [f32],
    marks: &mut Vec<Mark>,
    line: &TimedLine<'_>,
    settings: &Settings,
    rate: Rate,
) -> Result<(), VoiceError> {
    let mut held: Vec<Held> = Vec::new();
    for timed in &line.notes {
        let frequency = settings.playback.frequency(line.line, timed.note);
        rate.check(frequency)?;
        if !timed.slurred {
            phrase::add(mix, rate, &held);
            held.clear();
        }
        held.push(Held {
            from: rate.sample(timed.start),
            to: rate.sample(timed.end),
            hz: frequency.0,
            level_db: level_dbfs(timed.dynamic),
            accent: timed.note.articulation == Articulation::Accent,
        });
        marks.push(Mark {
            note: timed.note.id.clone(),
            start_s: timed.start,
            end_s: timed.end,
            frequency,
        });
    }
    phrase::add(mix, rate, &held);
    Ok(())
}
