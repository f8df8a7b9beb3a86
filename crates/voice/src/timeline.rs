//! When everything in a part happens: lines, beats and notes in seconds.

use routine::part::{Articulation, Dynamic, Event, Line, Note, Part, TICKS_PER_QUARTER};

use crate::VoiceError;

/// A breath takes this much off the note before it, and at most this share of it.
const BREATH_S: f64 = 0.25;
const BREATH_SHARE: f64 = 0.4;
/// Share of its length that a note sounds before a tongued one.
const PLAIN: f64 = 0.95;
const ACCENTED: f64 = 0.90;
const STACCATO: f64 = 0.50;
/// Beats of a count-in when a line has no metre.
const UNMETERED_BEATS: u8 = 4;

/// A note in time.
pub(crate) struct Timed<'a> {
    pub(crate) note: &'a Note,
    pub(crate) start: f64,
    pub(crate) end: f64,
    pub(crate) dynamic: Dynamic,
    /// Whether it follows the one before without a break.
    pub(crate) slurred: bool,
}

/// A beat in time.
pub(crate) struct Beat {
    pub(crate) at: f64,
    /// First of its bar.
    pub(crate) first: bool,
}

/// A line in time.
pub(crate) struct TimedLine<'a> {
    pub(crate) line: &'a Line,
    /// When its count-in starts, or the line where there is none.
    pub(crate) from: f64,
    /// When its last event ends.
    pub(crate) end: f64,
    pub(crate) notes: Vec<Timed<'a>>,
    pub(crate) count_in: Vec<Beat>,
    pub(crate) beats: Vec<Beat>,
}

/// A part in time, and how long it is in all.
///
/// The count-in of the first line comes before it; later ones take the last bar of the rest before
/// the line, if the rest is long enough, so that rest and playing keep their lengths.
pub(crate) fn lay_out(
    part: &Part,
    count_in: bool,
) -> Result<(Vec<TimedLine<'_>>, f64), VoiceError> {
    let mut lines = Vec::new();
    let mut now = 0.0;
    let mut rest = None;
    for (index, line) in part.lines.iter().enumerate() {
        if !(5.0..=1000.0).contains(&line.tempo) {
            return Err(VoiceError::Tempo {
                line: line.id.clone(),
                tempo: line.tempo,
            });
        }
        let (beats_a_bar, beat) = beat(part, index, line);
        let bar = f64::from(beats_a_bar) * beat;
        let mut counted = Vec::new();
        if count_in && rest.is_none_or(|rest| rest >= bar) {
            let start = if rest.is_none() { now } else { now - bar };
            now = start + bar;
            counted.extend((0..beats_a_bar).map(|n| Beat {
                at: start + f64::from(n) * beat,
                first: n == 0,
            }));
        }
        let from = counted.first().map_or(now, |beat: &Beat| beat.at);
        let (notes, end) = notes(line, now);
        crate::phrase::check_length(end)?;
        let mut beats = Vec::new();
        let mut number = 0_u32;
        // Half a beat short of the end: the beat on which the line ends is not struck.
        while now + f64::from(number) * beat < end - beat / 2.0 {
            beats.push(Beat {
                at: now + f64::from(number) * beat,
                first: number.is_multiple_of(u32::from(beats_a_bar)),
            });
            number += 1;
        }
        let rest_after = line.rest_after.seconds(line.tempo);
        lines.push(TimedLine {
            line,
            from,
            end,
            notes,
            count_in: counted,
            beats,
        });
        now = end + rest_after;
        rest = Some(rest_after);
        crate::phrase::check_length(now)?;
    }
    Ok((lines, now))
}

/// Beats a bar and seconds a beat of a line.
fn beat(part: &Part, index: usize, line: &Line) -> (u8, f64) {
    let section = part
        .sections
        .iter()
        .find(|s| (s.first_line..s.first_line.saturating_add(s.line_count)).contains(&index));
    let meter = section.map_or(part.meter, |section| section.meter);
    let quarter = 60.0 / line.tempo;
    match meter {
        Some((beats @ 1.., unit @ 1..)) => (beats, quarter * 4.0 / f64::from(unit)),
        _ => (UNMETERED_BEATS, quarter),
    }
}

/// The notes of a line that starts at a time, and when the line ends.
fn notes(line: &Line, start: f64) -> (Vec<Timed<'_>>, f64) {
    let mut out: Vec<Timed<'_>> = Vec::new();
    let mut dynamic = Dynamic::Mf;
    let mut ticks = 0_u64;
    // From ticks, not by adding up seconds, so that long lines do not drift.
    let seconds = |ticks: u64| ticks as f64 / f64::from(TICKS_PER_QUARTER) * 60.0 / line.tempo;
    let mut joins = false;
    for event in &line.events {
        match event {
            Event::Note(note) => {
                let slurred = note.slurred && joins;
                if let (true, Some(before)) = (slurred, out.last_mut()) {
                    before.end = start + seconds(ticks);
                }
                dynamic = note.dynamic.unwrap_or(dynamic);
                let from = start + seconds(ticks);
                ticks += u64::from(note.duration.0);
                let length = start + seconds(ticks) - from;
                let share = match note.articulation {
                    Articulation::Plain => PLAIN,
                    Articulation::Tenuto => 1.0,
                    Articulation::Accent => ACCENTED,
                    Articulation::Staccato => STACCATO,
                };
                out.push(Timed {
                    note,
                    start: from,
                    end: from + length * share,
                    dynamic,
                    slurred,
                });
                joins = true;
            }
            Event::Rest { duration } => {
                ticks += u64::from(duration.0);
                joins = false;
            }
            Event::Breath => {
                if let Some(before) = out.last_mut() {
                    let length = before.end - before.start;
                    before.end -= BREATH_S.min(length * BREATH_SHARE);
                }
                joins = false;
            }
        }
    }
    (out, start + seconds(ticks))
}
