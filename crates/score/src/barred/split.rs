//! Events cut at barlines into written values.

use routine::part::{Event, Line, Note, TICKS_PER_QUARTER};

use super::{Bar, Barline, Head, LONGEST_LINE, Symbol};
use crate::Error;
use crate::value::Value;

/// Notes of an unmetered line are beamed by quarter notes.
pub(super) const FREE_BEAT: u32 = TICKS_PER_QUARTER;

/// An unmetered line may wrap after this many notes, at the next tongued one.
const FREE_WRAP_NOTES: usize = 8;

/// Builds bars one symbol at a time.
struct Builder<'a> {
    bars: Vec<Bar<'a>>,
    symbols: Vec<Symbol<'a>>,
    at: u32,
}

impl<'a> Builder<'a> {
    fn close(&mut self, end: Barline) {
        let symbols = std::mem::take(&mut self.symbols);
        if self.at > 0 {
            self.bars.push(Bar {
                number: 0,
                length: self.at,
                symbols,
                end,
                rest_bars: 0,
                pause: false,
            });
        }
        self.at = 0;
    }

    fn push(&mut self, ticks: u32, value: Option<Value>, head: Option<Head<'a>>) {
        self.symbols.push(Symbol {
            start: self.at,
            ticks,
            value,
            head,
            beams: Vec::new(),
            tuplet_start: false,
            tuplet_stop: false,
        });
        self.at += ticks;
    }

    /// Pushes written values for a note or rest of this length, cut at barlines when there are any.
    fn fill(
        &mut self,
        place: impl Fn() -> String,
        ticks: u32,
        bar: Option<u32>,
        head: Option<&Head<'a>>,
    ) -> Result<(), Error> {
        let refuse = || Error::Duration {
            place: place(),
            ticks,
        };
        if ticks > LONGEST_LINE || (ticks == 0 && head.is_some()) {
            return Err(refuse());
        }
        let mut left = ticks;
        let mut piece = 0;
        while left > 0 {
            let take = bar.map_or(left, |length| left.min(length - self.at));
            if head.is_none() && bar == Some(take) {
                self.push(take, None, None);
            } else {
                for (ticks, value) in Value::chain(take).ok_or_else(refuse)? {
                    let head = head.map(|whole| Head {
                        piece,
                        last: false,
                        dynamic: whole.dynamic.filter(|_| piece == 0),
                        ..whole.clone()
                    });
                    self.push(ticks, Some(value), head);
                    piece += 1;
                }
            }
            left -= take;
            if left == 0
                && let Some(last) = self.symbols.last_mut().and_then(|s| s.head.as_mut())
            {
                last.last = true;
            }
            if bar == Some(self.at) {
                self.close(Barline::Single);
            }
        }
        Ok(())
    }
}

/// A line in bars of equal length; what is left of the last bar comes out of the rest after it.
pub(super) fn metered(line: &Line, bar: u32) -> Result<Vec<Bar<'_>>, Error> {
    let mut build = Builder {
        bars: Vec::new(),
        symbols: Vec::new(),
        at: 0,
    };
    let heads = heads(line)?;
    for (index, event) in line.events.iter().enumerate() {
        match event {
            Event::Note(note) => build.fill(
                || place(line, note),
                note.duration.0,
                Some(bar),
                heads.get(index).and_then(Option::as_ref),
            )?,
            Event::Rest { duration } => {
                build.fill(|| rest_place(line, index), duration.0, Some(bar), None)?;
            }
            Event::Breath => {}
        }
    }
    let mut rest = line.rest_after.0;
    if build.at > 0 {
        let gap = bar - build.at;
        build.fill(
            || format!("{}: rest after it", line.id),
            gap,
            Some(bar),
            None,
        )?;
        rest = rest.saturating_sub(gap);
    }
    if rest > LONGEST_LINE {
        return Err(Error::Duration {
            place: format!("{}: rest after it", line.id),
            ticks: rest,
        });
    }
    let mut bars = build.bars;
    let count = if bars.is_empty() {
        rest.div_ceil(bar).max(1)
    } else {
        rest.div_ceil(bar)
    };
    bars.extend((0..count).map(|index| pause(bar, if index == 0 { count } else { 0 })));
    if let Some(last) = bars.last_mut() {
        last.end = Barline::Double;
    }
    Ok(bars)
}

/// An unmetered line in stretches between which it may wrap: after rests, and at tongued notes.
pub(super) fn unmetered(line: &Line) -> Result<Vec<Bar<'_>>, Error> {
    let mut build = Builder {
        bars: Vec::new(),
        symbols: Vec::new(),
        at: 0,
    };
    let heads = heads(line)?;
    let mut total = 0_u32;
    let mut breathed = false;
    for (index, event) in line.events.iter().enumerate() {
        match event {
            Event::Note(note) => {
                let long =
                    build.symbols.len() >= FREE_WRAP_NOTES && build.at.is_multiple_of(FREE_BEAT);
                if !note.slurred && (breathed || long) {
                    build.close(Barline::Unseen);
                }
                breathed = false;
                build.fill(
                    || place(line, note),
                    note.duration.0,
                    None,
                    heads.get(index).and_then(Option::as_ref),
                )?;
                total = total.saturating_add(note.duration.0);
            }
            Event::Rest { duration } => {
                build.fill(|| rest_place(line, index), duration.0, None, None)?;
                total = total.saturating_add(duration.0);
                breathed = true;
            }
            Event::Breath => breathed = true,
        }
        if total > LONGEST_LINE {
            return Err(Error::Duration {
                place: line.id.clone(),
                ticks: total,
            });
        }
    }
    let rest = line.rest_after.0;
    if rest > LONGEST_LINE {
        return Err(Error::Duration {
            place: format!("{}: rest after it", line.id),
            ticks: rest,
        });
    }
    build.close(Barline::Single);
    let mut bars = build.bars;
    if rest > 0 || bars.is_empty() {
        let length = if rest > 0 {
            rest
        } else {
            TICKS_PER_QUARTER * 4
        };
        bars.push(pause(length, 1));
    }
    if let Some(last) = bars.last_mut() {
        last.end = Barline::Double;
    }
    Ok(bars)
}

/// A bar of rest.
fn pause<'a>(length: u32, rest_bars: u32) -> Bar<'a> {
    Bar {
        number: 0,
        length,
        symbols: vec![Symbol {
            start: 0,
            ticks: length,
            value: None,
            head: None,
            beams: Vec::new(),
            tuplet_start: false,
            tuplet_stop: false,
        }],
        end: Barline::Single,
        rest_bars,
        pause: true,
    }
}

/// A head for every event that is a note, with its slur edges and breath.
fn heads(line: &Line) -> Result<Vec<Option<Head<'_>>>, Error> {
    let events = &line.events;
    let mut heads: Vec<Option<Head<'_>>> = Vec::with_capacity(events.len());
    let mut previous: Option<usize> = None;
    for (index, event) in events.iter().enumerate() {
        let head = match event {
            Event::Note(note) => {
                check_pitch(line, note)?;
                let from = previous.filter(|_| note.slurred);
                if let Some(before) = from.and_then(|i| heads.get_mut(i)).and_then(Option::as_mut) {
                    before.slur_start = !before.slur_stop;
                    before.slur_stop = false;
                }
                previous = Some(index);
                Some(Head {
                    note,
                    piece: 0,
                    last: true,
                    slur_start: false,
                    slur_stop: from.is_some(),
                    accidental: None,
                    carried: None,
                    breath: false,
                    dynamic: note.dynamic,
                })
            }
            Event::Rest { .. } => {
                previous = None;
                None
            }
            Event::Breath => {
                let before = previous.and_then(|i| heads.get_mut(i));
                if let Some(before) = before.and_then(Option::as_mut) {
                    before.breath = true;
                }
                None
            }
        };
        heads.push(head);
    }
    Ok(heads)
}

fn check_pitch(line: &Line, note: &Note) -> Result<(), Error> {
    let pitch = note.written.0;
    if (0..=9).contains(&pitch.octave) && pitch.alter.abs() <= 3 {
        Ok(())
    } else {
        Err(Error::Pitch {
            place: place(line, note),
            pitch: pitch.to_string(),
            limit: "octaves 0 to 9, at most three sharps or flats",
        })
    }
}

fn place(line: &Line, note: &Note) -> String {
    format!("line {} ({}), note {}", line.id, line.label, note.id)
}

fn rest_place(line: &Line, index: usize) -> String {
    format!(
        "line {} ({}), rest at event {}",
        line.id,
        line.label,
        index + 1
    )
}
