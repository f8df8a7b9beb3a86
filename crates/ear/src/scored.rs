//! From decoded states to notes: bounds, pitch, match.

mod ending;
mod guide;
mod tuning;

use crate::analysis::Analysis;
use crate::decode::{Model, Observation, Observer, Segment, State, decode, swings};
use crate::expected::{Expected, ExpectedNote};
use crate::free;
use crate::heard::{HeardNote, Match, Place, Track};
use crate::measured::Measure;
use crate::pitch::gather::gather;
use crate::pitch::track::track;
use crate::scored::tuning::Tuning;
use crate::slur::hall::Field;
use crate::thresholds as t;

pub(crate) use guide::best_near;

use ending::reveal;
use guide::guided;

/// The track and the notes of a take against its score.
#[must_use]
pub fn hear(
    analysis: &Analysis,
    expected: &Expected,
    hall: Option<Field>,
) -> (Track, Vec<HeardNote>) {
    let path = free::path(analysis);
    let tuning = Tuning::new(analysis, expected, &path);
    let model = Model::new(expected, analysis.grid, |place| tuning.at(place));
    let swings = swings(analysis, &path);
    let seen: Vec<Observation> = analysis
        .salience
        .iter()
        .zip(&analysis.silence)
        .zip(&swings)
        .map(|((frame, silence), swing)| {
            let mut out = Observation::default();
            Observer::look(&model, frame, *silence, *swing, &mut out);
            out
        })
        .collect();
    let segments = settle(&model, decode(&model, &seen));
    let segments = held_on(analysis, &model, &seen, segments);
    let guided = guided(analysis, &model, &segments);
    let mut track = track(analysis, &guided);
    if analysis.echo_held {
        let sounding = segments
            .iter()
            .filter(|s| matches!(s.state, State::Note(_)));
        gather(analysis, &mut track, sounding.map(|s| s.from..s.to));
    }
    let mut notes = notes(analysis, expected, &model, &segments, &seen, &track);
    if let Some(hall) = hall {
        reveal(analysis, expected, (&mut track, &mut notes), hall);
    }
    (track, notes)
}

/// Gives the way of a slur to the two notes beside it, half each, and the way of an attack or a
/// false start to the note that it starts (so too a moment of the note before it, gone back to
/// and left without a stop); a way that lasts is something else in the place of the
/// note it leads to.
fn settle(model: &Model, segments: Vec<Segment>) -> Vec<Segment> {
    let seconds = |s: &Segment| (s.to - s.from) as f64 * t::COARSE_STEP_S;
    let slurred = |i: usize| model.notes.get(i).is_some_and(|n| n.slurred);
    let mut out: Vec<Segment> = Vec::with_capacity(segments.len());
    let mut begins: Option<usize> = None;
    let mut sounded: Option<usize> = None;
    let mut rest = segments.into_iter().peekable();
    while let Some(mut segment) = rest.next() {
        let next = rest.peek().map(|n| (n.state, seconds(n)));
        match segment.state {
            State::Way(i) if seconds(&segment) > t::WAY_LONGEST_S => {
                segment.state = State::Other(i);
                if let Some((_, after)) = next
                    && after < t::GLIMPSE_S
                    && let Some(glimpse) = rest.next()
                {
                    segment.to = glimpse.to;
                }
            }
            State::Way(i) if slurred(i) => {
                let middle = usize::midpoint(segment.from, segment.to);
                if let Some(last) = out.last_mut() {
                    last.to = middle;
                }
                begins = Some(middle);
                continue;
            }
            State::Way(_) => {
                begins = Some(segment.from);
                continue;
            }
            State::Other(i)
                if next.is_some_and(|(state, _)| state == State::Note(i))
                    && seconds(&segment) < t::FALSE_START_S =>
            {
                begins = begins.or(Some(segment.from));
                continue;
            }
            State::Note(i)
                if !slurred(i + 1)
                    && sounded.is_some_and(|last| last >= i)
                    && next.is_some_and(|next| begins_flat(i, seconds(&segment), next)) =>
            {
                begins = begins.or(Some(segment.from));
                continue;
            }
            State::Note(i) => sounded = Some(i),
            _ => {}
        }
        if let Some(from) = begins.take() {
            segment.from = from;
        }
        out.push(segment);
    }
    out
}

/// True when a note that is gone back to, and left without the stop that is asked for, is how the next
/// one began: flat, for a moment or for a small part of it.
fn begins_flat(note: usize, lasts_s: f64, (next, next_s): (State, f64)) -> bool {
    match next {
        State::Note(n) if n == note + 1 => {
            let share = (t::FLAT_START_SHARE * next_s).min(t::FLAT_START_S);
            lasts_s < share.max(t::WAY_LONGEST_S)
        }
        // Over a glide.
        State::Way(n) if n == note + 1 => lasts_s < t::FLAT_START_S,
        _ => false,
    }
}

/// Takes back a first note that nothing follows and that has the pitch of the last note before
/// it: a long last note that swells or beats is no line begun again, nor is its dying echo. Where
/// the sound never goes between the two nor rises as only an attack makes it, the last note goes on; an
/// echo is dropped.
fn held_on(
    analysis: &Analysis,
    model: &Model,
    seen: &[Observation],
    segments: Vec<Segment>,
) -> Vec<Segment> {
    let sounding = |segment: &Segment| match segment.state {
        State::Note(i) => model.notes.get(i).map(|note| (i, *note)),
        _ => None,
    };
    let mut out: Vec<Segment> = Vec::with_capacity(segments.len());
    for (k, segment) in segments.iter().enumerate() {
        let alone = sounding(segment).filter(|(i, note)| {
            let next = segments.iter().skip(k + 1).find_map(sounding);
            note.first && next.is_none_or(|(next, _)| next != i + 1)
        });
        let last = out.iter().rposition(|s| sounding(s).is_some());
        if let (Some((_, note)), Some(last)) = (alone, last)
            && let Some(held) = out.get(last).copied()
            && sounding(&held).is_some_and(|(_, before)| before.pitch == note.pitch)
        {
            let between = Segment {
                state: segment.state,
                from: held.to,
                to: segment.from,
            };
            let level = |s: &Segment| {
                let at = |frame: usize| frame as f64 * t::COARSE_STEP_S;
                analysis.levels.db(at(s.from), at(s.to))
            };
            if level(&held) - level(segment) > t::ECHO_BELOW_DB {
                continue;
            }
            let begins = segment.from.saturating_sub(t::STRUCK_NEAR)..segment.from + t::STRUCK_NEAR;
            let struck = begins.filter_map(|i| seen.get(i)).any(|o| o.afresh >= 1.0);
            if !struck && dips_only(analysis, &between) {
                out.truncate(last + 1);
                if let Some(held) = out.last_mut() {
                    held.to = segment.to;
                }
                continue;
            }
        }
        out.push(*segment);
    }
    out
}

fn notes(
    analysis: &Analysis,
    expected: &Expected,
    model: &Model,
    segments: &[Segment],
    seen: &[Observation],
    track: &Track,
) -> Vec<HeardNote> {
    let mut out: Vec<HeardNote> = Vec::new();
    let mut passes = vec![0_usize; expected.lines.len()];
    let mut before: Option<(usize, usize)> = None;
    for (k, segment) in segments.iter().enumerate() {
        let (index, asked) = match segment.state {
            State::Note(i) => (i, true),
            State::Other(i) => (i, false),
            State::Hub | State::Stop(_) | State::Way(_) => continue,
        };
        let Some(note) = model.notes.get(index) else {
            continue;
        };
        let Some(target) = expected.note(note.line, note.note) else {
            continue;
        };
        let again = before.is_some_and(|(line, last)| line == note.line && note.note <= last);
        let once = out
            .iter()
            .any(|n| n.place.is_some_and(|p| p.line == note.line));
        let fresh = before.is_none_or(|(line, _)| line != note.line);
        if (again || (fresh && once))
            && let Some(pass) = passes.get_mut(note.line)
        {
            *pass += 1;
        }
        before = Some((note.line, note.note));
        let last = k.checked_sub(1).and_then(|b| segments.get(b));
        let joined = !model.repeats(index)
            && last.is_some_and(|b| match b.state {
                State::Note(_) | State::Other(_) => true,
                State::Stop(_) => note.slurred && dips_only(analysis, b),
                State::Hub | State::Way(_) => false,
            });
        let from_s = segment.from as f64 * t::COARSE_STEP_S - t::COARSE_STEP_S / 2.0;
        let to_s = segment.to as f64 * t::COARSE_STEP_S - t::COARSE_STEP_S / 2.0;
        let Some((hz, uncertainty, steady_s)) =
            free::centre(track, (from_s, to_s), analysis.echo_held)
        else {
            continue;
        };
        let level_db = analysis.levels.db(steady_s.0, steady_s.1);
        let onset_s = if joined && note.slurred {
            from_s
        } else {
            free::onset(
                analysis,
                from_s,
                to_s,
                hz,
                free::loudest_db(track, from_s, to_s),
            )
        };
        let pass = passes.get(note.line).copied().unwrap_or(0);
        let cents = 1200.0 * (hz / target.hz).log2();
        out.push(HeardNote {
            place: Some(Place {
                line: note.line,
                note: note.note,
                pass,
            }),
            matched: if asked {
                Match::AsAsked
            } else {
                other(target, hz)
            },
            confidence: confidence(seen.get(segment.from..segment.to), |o| {
                let asked_for = o.pitch.get(note.pitch).copied().unwrap_or(f32::MIN);
                let else_here = o.any - t::LOOK_WEIGHT * t::WRONG_MARGIN;
                let (this, other) = if asked {
                    (asked_for, else_here)
                } else {
                    (else_here, asked_for)
                };
                this - other.max(o.silence)
            }),
            onset_s: onset_s.max(0.0),
            offset_s: to_s,
            steady_s,
            hz,
            cents: Measure::known(cents, uncertainty),
            cents_uncertainty: uncertainty,
            level_db,
            slurred: joined,
        });
    }
    for k in 1..out.len() {
        let onset = out.get(k).map_or(0.0, |n| n.onset_s);
        if let Some(last) = out.get_mut(k - 1) {
            last.offset_s = last.offset_s.min(onset.max(last.onset_s));
        }
    }
    out
}

/// How sure a match is: the odds, as a share, of its state against the likeliest other of the same
/// place (the note asked for, another pitch, silence), from the mean margin over its looks in nats.
/// Looks overlap: one counts every [`t::INDEPENDENT_S`].
pub(crate) fn confidence<T>(looks: Option<&[T]>, margin: impl Fn(&T) -> f32) -> f64 {
    let looks = looks.unwrap_or(&[]);
    if looks.is_empty() {
        return 0.5;
    }
    let sum: f64 = looks.iter().map(|look| f64::from(margin(look))).sum();
    let independent = (looks.len() as f64 * t::COARSE_STEP_S / t::INDEPENDENT_S).max(1.0);
    1.0 / (1.0 + (-sum / looks.len() as f64 * independent).exp())
}

/// True when a stop is only the dip of a slur: short, and the sound never goes.
fn dips_only(analysis: &Analysis, stop: &Segment) -> bool {
    let at = |frame: usize| frame as f64 * t::COARSE_STEP_S;
    let (from_s, to_s) = (at(stop.from), at(stop.to));
    if to_s - from_s > t::JOINED_STOP_S {
        return false;
    }
    let beside = analysis
        .levels
        .db(from_s - 0.05, from_s)
        .min(analysis.levels.db(to_s, to_s + 0.05));
    let mut low = f64::MAX;
    let mut s = from_s - 0.01;
    while s < to_s + 0.01 {
        low = low.min(analysis.levels.db(s - 0.008, s + 0.008));
        s += 0.002;
    }
    beside - low < t::JOINED_DIP_DB
}

/// What a note that was not asked for is: another partial of the same length, or wrong.
fn other(target: &ExpectedNote, hz: f64) -> Match {
    let near = target
        .tube
        .iter()
        .find(|p| (1200.0 * (hz / p.hz).log2()).abs() < t::NOTE_BAND_CENTS);
    match near {
        Some(p) if p.partial != target.partial => Match::OtherPartial { partial: p.partial },
        _ => Match::Wrong,
    }
}
