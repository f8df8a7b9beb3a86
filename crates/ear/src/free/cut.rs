//! Where a track is cut into notes: at silences, at lasting changes of pitch, at new attacks.

use super::{loudest_of as loudest, median};
use crate::heard::{Frame, Track};
use crate::signal::level::SILENCE_DB;
use crate::thresholds as t;

/// A stretch of frames taken for one note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// First frame.
    pub(super) from: usize,
    /// One past the last.
    pub(super) to: usize,
    /// True when the sound goes on from the stretch before.
    pub(super) joined: bool,
}

/// The notes of a track, as stretches of frames.
pub(super) fn stretches(track: &Track) -> Vec<Stretch> {
    let mut found = Vec::new();
    let frames = &track.frames;
    let mut i = 0;
    while i < frames.len() {
        if !frames.get(i).is_some_and(Frame::sounds) {
            i += 1;
            continue;
        }
        let rest = frames.get(i..).unwrap_or(&[]);
        let length = rest.iter().position(|f| !f.sounds()).unwrap_or(rest.len());
        let mut pieces = Vec::new();
        cut(frames, i, i + length, &mut pieces);
        found.append(&mut settled(frames, pieces));
        i += length;
    }
    let shortest = (t::SHORTEST_NOTE_S / t::FINE_STEP_S) as usize;
    found.retain(|s| s.to - s.from >= shortest);
    without_echoes(frames, &found)
}

/// Leaves out what lies so far below the take that nobody played it, and what has the pitch of a
/// note just before and lies so far below it that it is its echo.
fn without_echoes(frames: &[Frame], found: &[Stretch]) -> Vec<Stretch> {
    let of = |s: &Stretch| frames.get(s.from..s.to).unwrap_or(&[]);
    let top = found
        .iter()
        .map(|s| loudest(of(s)))
        .fold(SILENCE_DB, f64::max);
    let mut out: Vec<Stretch> = Vec::with_capacity(found.len());
    for s in found {
        let level = loudest(of(s));
        let echo = out.iter().rev().take(2).any(|before| {
            (middle(of(before)) - middle(of(s))).abs() < t::NOTE_BAND_CENTS
                && loudest(of(before)) - level > t::FREE_ECHO_BELOW_DB
        });
        if !echo && top - level < t::FAINT_BELOW_DB {
            out.push(*s);
        }
    }
    out
}

/// Gives what never settles on a pitch to the note that it leads to or comes from, and joins what
/// goes on in the same pitch or dies away beside it.
fn settled(frames: &[Frame], pieces: Vec<Stretch>) -> Vec<Stretch> {
    let of = |s: &Stretch| frames.get(s.from..s.to).unwrap_or(&[]);
    let longest = (t::UNSETTLED_LONGEST_S / t::FINE_STEP_S) as usize;
    let shortest = (t::SHORTEST_NOTE_S / t::FINE_STEP_S) as usize;
    let unsettled = |s: &Stretch| {
        let spread = wavers(of(s));
        s.to - s.from < shortest
            || periods(of(s)) < t::SHORTEST_NOTE_PERIODS
            || spread > t::NOTE_BAND_CENTS
            || (s.to - s.from <= longest && spread > t::UNSETTLED_CENTS)
    };
    let goes_on = |last: &Stretch, s: &Stretch| {
        let cents = (middle(of(s)) - middle(of(last))).abs();
        let dies = loudest(of(last)) - loudest(of(s)) > t::DYING_UNDER_DB;
        cents < t::SAME_NOTE_CENTS || (dies && cents < t::DYING_CENTS)
    };
    let leads_in = |s: &Stretch, next: Option<&Stretch>| {
        !s.joined
            && periods(of(s)) < t::ATTACK_PERIODS
            && next.is_some_and(|n| (middle(of(n)) - middle(of(s))).abs() < t::ATTACK_CENTS)
    };
    let mut out: Vec<Stretch> = Vec::with_capacity(pieces.len());
    let mut begins: Option<Stretch> = None;
    let mut rest = pieces.into_iter().peekable();
    while let Some(mut piece) = rest.next() {
        let next = rest.peek().filter(|next| next.from == piece.to);
        let leads_on = next.is_some();
        let waverer = unsettled(&piece) || leads_in(&piece, next);
        if let Some(way) = begins.take() {
            (piece.from, piece.joined) = (way.from, way.joined);
        }
        match out.last_mut() {
            Some(last) if piece.joined && !waverer && goes_on(last, &piece) => last.to = piece.to,
            _ if !waverer => out.push(piece),
            // A slur's way belongs to both notes; what comes before the first note is its attack.
            Some(last) if piece.joined && leads_on => {
                let middle = usize::midpoint(piece.from, piece.to);
                last.to = middle;
                begins = Some(Stretch {
                    from: middle,
                    ..piece
                });
            }
            _ if leads_on => begins = Some(piece),
            Some(last) if piece.joined => last.to = piece.to,
            _ if wavers(of(&piece)) > t::NOTE_BAND_CENTS => {}
            _ => out.push(piece),
        }
    }
    out
}

/// Middle pitch of frames, in cents above 1 Hz.
fn middle(frames: &[Frame]) -> f64 {
    let mut cents: Vec<f64> = frames.iter().map(|f| 1200.0 * f.hz.log2()).collect();
    median(&mut cents).unwrap_or(0.0)
}

/// How many periods of their middle pitch frames last.
fn periods(frames: &[Frame]) -> f64 {
    frames.len() as f64 * t::FINE_STEP_S * (middle(frames) / 1200.0).exp2()
}

/// Robust spread of the pitch about its middle, cents.
fn wavers(frames: &[Frame]) -> f64 {
    let middle = middle(frames);
    let mut away: Vec<f64> = frames
        .iter()
        .map(|f| (1200.0 * f.hz.log2() - middle).abs())
        .collect();
    1.4826 * median(&mut away).unwrap_or(0.0)
}

/// Cuts one sounding stretch where the pitch leaves a note for good.
fn cut(frames: &[Frame], from: usize, to: usize, out: &mut Vec<Stretch>) {
    let cents: Vec<f64> = frames
        .get(from..to)
        .unwrap_or(&[])
        .iter()
        .map(|f| 1200.0 * f.hz.log2())
        .collect();
    let hold = (t::SHORTEST_NOTE_S / t::FINE_STEP_S) as usize;
    let mut start = 0;
    let mut joined = false;
    while start < cents.len() {
        let end = leaves(&cents, start, hold);
        attacks(frames, from + start, from + end, joined, out);
        joined = true;
        start = end;
    }
}

/// Where the note that begins at `start` is left: the first frame nearer to the next note than to
/// this one.
fn leaves(cents: &[f64], start: usize, hold: usize) -> usize {
    let mut recent: Vec<f64> = Vec::new();
    let mut away = 0;
    for (i, value) in cents.iter().enumerate().skip(start) {
        let mut window: Vec<f64> = recent.iter().rev().take(30).copied().collect();
        let centre = median(&mut window).unwrap_or(*value);
        if (value - centre).abs() <= t::NOTE_BAND_CENTS {
            away = 0;
            recent.push(*value);
            continue;
        }
        away += 1;
        if away < hold {
            continue;
        }
        let mut last = cents.get(i + 1 - hold..=i).unwrap_or(&[]).to_vec();
        if spread(&last) > t::NOTE_BAND_CENTS {
            continue;
        }
        if recent.len() < hold {
            // Not a note yet: what came before was the way into this one.
            recent = last;
            away = 0;
            continue;
        }
        let next = median(&mut last).unwrap_or(*value);
        let between = (i + 1 - away..i).find(|j| {
            cents
                .get(*j)
                .is_some_and(|c| (c - next).abs() < (c - centre).abs())
        });
        return between.unwrap_or(i + 1 - hold).max(start + 1);
    }
    cents.len()
}

fn spread(values: &[f64]) -> f64 {
    let low = values.iter().copied().fold(f64::MAX, f64::min);
    let high = values.iter().copied().fold(f64::MIN, f64::max);
    high - low
}

/// Cuts a stretch of one pitch where the level dips as it does between two attacks.
fn attacks(frames: &[Frame], from: usize, to: usize, joined: bool, out: &mut Vec<Stretch>) {
    let edge = (0.04 / t::FINE_STEP_S) as usize;
    let level = |i: usize| frames.get(i).map_or(-150.0, |f| f64::from(f.level_db));
    // A dip in the dying end of a note is the room's, not a tongue's.
    let quiet = (from..to).map(level).fold(-150.0, f64::max) - t::ATTACK_UNDER_DB;
    let mut start = from;
    let mut joined = joined;
    let mut i = from + edge;
    while i + edge < to {
        let low = (i.saturating_sub(edge)..=i + edge).all(|j| level(j) >= level(i));
        if low && dips(&level, (start, i, to), quiet) {
            out.push(Stretch {
                from: start,
                to: i,
                joined,
            });
            start = i;
            joined = false;
            i += edge;
        }
        i += 1;
    }
    out.push(Stretch {
        from: start,
        to,
        joined,
    });
}

/// True when a level that is lowest at `at` dips there as before a new attack: deep enough, and
/// either up again as fast as a tongue lets go or far deeper than the note swells by itself.
fn dips(level: &impl Fn(usize) -> f64, (from, at, to): (usize, usize, usize), quiet: f64) -> bool {
    let frames = |seconds: f64| (seconds / t::FINE_STEP_S) as usize;
    let loudest = |a: usize, b: usize| (a..b).map(level).fold(-150.0, f64::max);
    let reach = frames(0.08);
    let before = loudest(from.max(at.saturating_sub(reach)), at);
    let after = loudest(at, to.min(at + reach));
    let dip = before.min(after) - level(at);
    if dip <= t::ATTACK_DIP_DB || after <= quiet {
        return false;
    }
    let quick = frames(t::ATTACK_RISE_S);
    let rise = (at..to.min(at + reach - quick))
        .map(|i| level((i + quick).min(to - 1)) - level(i))
        .fold(0.0, f64::max);
    rise >= t::ATTACK_RISE_DB || dip >= t::ATTACK_OVER_SWELL * swell(level, (from, at, to))
}

/// How far the level goes up and down by itself around a moment: from its lower fifth to its upper tenth, dB.
fn swell(level: &impl Fn(usize) -> f64, (from, at, to): (usize, usize, usize)) -> f64 {
    let reach = (t::ATTACK_SWELL_S / t::FINE_STEP_S) as usize;
    let mut all: Vec<f64> = (from.max(at.saturating_sub(reach))..to.min(at + reach))
        .map(level)
        .collect();
    all.sort_by(f64::total_cmp);
    let share = |x: usize| all.get(all.len() * x / 10).copied().unwrap_or(0.0);
    share(9) - share(2)
}
