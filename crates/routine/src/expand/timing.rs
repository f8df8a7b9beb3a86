//! Rhythm, slurs, marks, breaths and rests along one line.

use super::shape::Tone;
use crate::exercise::{Breath, BreathWord, Exercise, Loudness, Rest, RestWord, Slur, SlurWord};
use crate::part::{Articulation, Dynamic, Ticks};

/// What happens at one note.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beat {
    /// Rest before the note.
    pub(crate) rest_before: Ticks,
    /// How long the note sounds.
    pub(crate) duration: Ticks,
    /// Slurred from the note before.
    pub(crate) slurred: bool,
    /// How it is played.
    pub(crate) articulation: Articulation,
    /// A mark that begins here.
    pub(crate) mark: Option<Dynamic>,
    /// The dynamic in force.
    pub(crate) dynamic: Dynamic,
    /// A breath mark after it.
    pub(crate) breath_after: bool,
}

/// A line's beats and the rests that fill its last bar.
#[derive(Clone, Debug)]
pub(crate) struct Timing {
    pub(crate) beats: Vec<Beat>,
    /// Rests from the last note to the end of its bar.
    pub(crate) fill: Vec<Ticks>,
    /// Sounding time.
    pub(crate) playing: Ticks,
    /// Rests inside the line, the fill included.
    pub(crate) rests: Ticks,
}

/// What timing needs to know beyond the exercise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pace {
    /// Quarter notes a minute.
    pub(crate) tempo: f64,
    /// Longest breath, seconds; infinite without a limit.
    pub(crate) breath_s: f64,
    /// Which line of the exercise this is, from 0.
    pub(crate) line: usize,
}

/// Times the notes of a line.
pub(crate) fn time(tones: &[Tone], exercise: &Exercise, pace: Pace) -> Timing {
    let mut beats = values(tones.len(), exercise);
    marks(&mut beats, tones, exercise, pace.line);
    slurs(&mut beats, tones, &exercise.slur);
    breaths(&mut beats, tones, exercise, pace);
    let playing: u32 = beats.iter().map(|b| b.duration.0).sum();
    let inside: u32 = beats.iter().map(|b| b.rest_before.0).sum();
    let fill = fill(playing + inside, exercise);
    let rests = inside + fill.iter().map(|t| t.0).sum::<u32>();
    Timing {
        beats,
        fill,
        playing: Ticks(playing),
        rests: Ticks(rests),
    }
}

fn values(count: usize, exercise: &Exercise) -> Vec<Beat> {
    let cycle = &exercise.rhythm.values;
    let mut beats = Vec::with_capacity(count);
    let mut place = 0;
    for i in 0..count {
        let mut rest = 0;
        let mut sounding = Ticks(0);
        // A rhythm holds at least one note, so a cycle's length of looks is enough.
        for _ in 0..=cycle.len() {
            let Some(value) = cycle.get(place % cycle.len().max(1)) else {
                break;
            };
            place += 1;
            if value.rest {
                rest += value.ticks.0;
            } else {
                sounding = value.ticks;
                break;
            }
        }
        if i + 1 == count
            && let Some(last) = &exercise.last
        {
            sounding = last.ticks;
        }
        beats.push(Beat {
            rest_before: Ticks(if i == 0 { 0 } else { rest }),
            duration: sounding,
            slurred: false,
            articulation: exercise.articulation.at(i),
            mark: None,
            dynamic: Dynamic::Mf,
            breath_after: false,
        });
    }
    beats
}

fn marks(beats: &mut [Beat], tones: &[Tone], exercise: &Exercise, line: usize) {
    let top = top_index(tones);
    let last = tones.len().saturating_sub(1);
    let mark_at = |i: usize| match &exercise.dynamic {
        Loudness::One(d) => (i == 0).then_some(*d),
        Loudness::ByLine { lines } if lines.is_empty() => None,
        Loudness::ByLine { lines } => (i == 0)
            .then(|| lines.get(line % lines.len()).copied())
            .flatten(),
        Loudness::Shape {
            start,
            top: loud,
            end,
        } => {
            if i == 0 {
                Some(*start)
            } else if i == top {
                Some(*loud)
            } else if i == last {
                *end
            } else {
                None
            }
        }
    };
    let mut current = Dynamic::Mf;
    for (i, beat) in beats.iter_mut().enumerate() {
        beat.mark = mark_at(i);
        current = beat.mark.unwrap_or(current);
        beat.dynamic = current;
    }
}

fn top_index(tones: &[Tone]) -> usize {
    let mut top = 0;
    for (i, tone) in tones.iter().enumerate() {
        if tones.get(top).is_some_and(|t| tone.key > t.key) {
            top = i;
        }
    }
    top
}

fn slurs(beats: &mut [Beat], tones: &[Tone], slur: &Slur) {
    let mut left = 0_u8;
    let mut groups = 0;
    for i in 0..beats.len() {
        let same_pass = i > 0
            && tones
                .get(i)
                .zip(tones.get(i - 1))
                .is_some_and(|(a, b)| a.pass == b.pass);
        let slurred = match slur {
            Slur::Word(SlurWord::None) => false,
            Slur::Word(SlurWord::Line) => i > 0,
            Slur::Word(SlurWord::Figure) => same_pass,
            Slur::Groups(sizes) => {
                if left == 0 {
                    left = sizes
                        .get(groups % sizes.len().max(1))
                        .copied()
                        .unwrap_or(1)
                        .max(1)
                        - 1;
                    groups += 1;
                    false
                } else {
                    left -= 1;
                    true
                }
            }
        };
        // A slur needs another note and no rest before it.
        let again = i > 0
            && tones
                .get(i)
                .zip(tones.get(i - 1))
                .is_some_and(|(a, b)| a.key == b.key);
        if let Some(beat) = beats.get_mut(i) {
            beat.slurred = slurred && !again && beat.rest_before.0 == 0;
        }
    }
}

fn breaths(beats: &mut [Beat], tones: &[Tone], exercise: &Exercise, pace: Pace) {
    let count = beats.len();
    let top = top_index(tones);
    let mut notes = 0_u32;
    let mut seconds = 0.0;
    for i in 0..count {
        let Some(beat) = beats.get(i).copied() else {
            return;
        };
        if beat.rest_before.0 > 0 {
            seconds = 0.0;
        }
        seconds += beat.duration.seconds(pace.tempo);
        notes += 1;
        let Some(next) = beats.get(i + 1).copied() else {
            return;
        };
        let asked = match exercise.breath {
            Breath::Word(BreathWord::Auto) => false,
            Breath::Word(BreathWord::Top) => i == top,
            Breath::Word(BreathWord::Figure) => tones
                .get(i)
                .zip(tones.get(i + 1))
                .is_some_and(|(a, b)| a.pass != b.pass),
            Breath::Notes(n) => notes >= u32::from(n.max(1)),
        };
        let spent = seconds + next.duration.seconds(pace.tempo) > pace.breath_s;
        if next.rest_before.0 == 0 && (asked || spent) {
            if let Some(beat) = beats.get_mut(i) {
                beat.breath_after = true;
            }
            if let Some(next) = beats.get_mut(i + 1) {
                next.slurred = false;
            }
            notes = 0;
            seconds = 0.0;
        }
    }
}

/// Rests from the end of the last note to the end of its bar: first to the beat, then the beats.
fn fill(used: u32, exercise: &Exercise) -> Vec<Ticks> {
    if exercise.meter.0.is_none() {
        return Vec::new();
    }
    let to_bar = missing(used, exercise.meter.bar().0);
    let to_beat = missing(used, exercise.meter.beat().0).min(to_bar);
    [to_beat, to_bar - to_beat]
        .into_iter()
        .filter(|&t| t > 0)
        .map(Ticks)
        .collect()
}

const fn missing(used: u32, unit: u32) -> u32 {
    if unit == 0 || used.is_multiple_of(unit) {
        0
    } else {
        unit - used % unit
    }
}

/// Rest after a line, in whole bars (whole beats without bars).
pub(crate) fn rest_after(exercise: &Exercise, timing: &Timing, load: f64, tempo: f64) -> Ticks {
    let bar = exercise.meter.bar().0.max(1);
    let playing = f64::from(timing.playing.0);
    let ticks_of =
        |seconds: f64| seconds * tempo / 60.0 * f64::from(crate::part::TICKS_PER_QUARTER);
    let wanted = match exercise.rest {
        Rest::Word(RestWord::None) => return Ticks(0),
        Rest::Beats { beats } => {
            return Ticks(u32::from(beats).saturating_mul(exercise.meter.beat().0));
        }
        Rest::Word(RestWord::Equal) => playing,
        Rest::Word(RestWord::Load) => playing.max(ticks_of(load)),
        Rest::Times { times } => playing * times,
    };
    let missing = wanted - f64::from(timing.rests.0);
    let bars = (missing / f64::from(bar) - 1e-9).ceil().max(0.0);
    Ticks((bars as u32).saturating_mul(bar))
}
