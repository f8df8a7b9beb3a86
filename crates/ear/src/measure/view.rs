//! What a measure of one note looks at.

use super::lines::{self, Lines};
use super::stats;
use crate::heard::{Frame, Heard, HeardNote};
use crate::level::Weighted;
use crate::measured::WhyNot;
use crate::thresholds as t;
use crate::{Expected, ExpectedLine, ExpectedNote, Samples};

/// An echo has died when it has fallen by so much, dB.
const ECHO_DIES_DB: f64 = 30.0;
/// A moment strays that lies further off the middle than this many times the others' spread.
const STRAYS: f64 = 4.0;

/// A take with all that measures of its notes need, made once.
#[derive(Debug)]
pub struct Take<'a> {
    /// The sound.
    pub samples: &'a Samples,
    /// What was to be played.
    pub expected: &'a Expected,
    /// What was heard.
    pub heard: &'a Heard,
    /// K-weighted levels.
    pub k: Weighted,
    /// A-weighted levels.
    pub a: Weighted,
    /// Stretches where the recording is overloaded, seconds from-to.
    pub clipped: &'a [(f64, f64)],
    /// The harmonics of each note.
    pub lines: Vec<Lines>,
}

/// One heard note and its surroundings.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// The take.
    pub take: &'a Take<'a>,
    /// The note.
    pub note: &'a HeardNote,
    /// The note before and after, in time.
    pub before: Option<&'a HeardNote>,
    /// The note after.
    pub after: Option<&'a HeardNote>,
    /// Its harmonics.
    pub lines: &'a Lines,
}

impl<'a> Take<'a> {
    /// Prepares a take.
    #[must_use]
    pub fn new(
        samples: &'a Samples,
        expected: &'a Expected,
        heard: &'a Heard,
        clipped: &'a [(f64, f64)],
    ) -> Self {
        let (k, a) = Weighted::both(samples);
        Self {
            samples,
            expected,
            heard,
            k,
            a,
            clipped,
            lines: lines::lines(samples, heard, clipped),
        }
    }

    /// The note with this index of `Heard::notes`.
    #[must_use]
    pub fn view(&'a self, index: usize) -> Option<View<'a>> {
        let notes = &self.heard.notes;
        Some(View {
            take: self,
            note: notes.get(index)?,
            before: index.checked_sub(1).and_then(|i| notes.get(i)),
            after: notes.get(index + 1),
            lines: self.lines.get(index)?,
        })
    }
}

impl<'a> View<'a> {
    /// The line it belongs to.
    #[must_use]
    pub fn line(&self) -> Option<&'a ExpectedLine> {
        self.take.expected.lines.get(self.note.place?.line)
    }

    /// What was asked for in its place.
    #[must_use]
    pub fn asked(&self) -> Option<&'a ExpectedNote> {
        self.line()?.notes.get(self.note.place?.note)
    }

    /// The frames of its steady part that sound, as seconds and cents above the note's own pitch,
    /// with the uncertainty of each in cents.
    #[must_use]
    pub fn steady(&self) -> Vec<Moment> {
        let (from, to) = self.note.steady_s;
        self.moments(from, to)
    }

    /// The same from when the echo of the note before has died, where the room is known, without moments that stray
    /// (a click, a harmonic of what still rings); the reason when less than so many seconds are left.
    ///
    /// # Errors
    /// `TooShort`, or `TooEchoing` where the echo took what was missing.
    pub fn settled(&self, shortest_s: f64) -> Result<Vec<Moment>, WhyNot> {
        if self.take.heard.echo_held {
            return Err(WhyNot::TooEchoing);
        }
        let mut moments = self.steady();
        if !long_enough(&moments, shortest_s) {
            return Err(WhyNot::TooShort);
        }
        let dies_s = self.take.heard.reverb_s.value().unwrap_or(0.0) * ECHO_DIES_DB / 60.0;
        if let Some(before) = self.before {
            moments.retain(|m| m.at_s > before.offset_s + dies_s);
        }
        let cents: Vec<f64> = moments.iter().map(|m| m.cents).collect();
        if let (Some(middle), Some(spread)) =
            (stats::median(&cents), stats::robust_deviation(&cents))
        {
            // What the player moves, however far, is in the spread; what strays is not.
            let near = t::STRAY_CENTS.max(STRAYS * spread);
            moments.retain(|m| (m.cents - middle).abs() < near);
        }
        if long_enough(&moments, shortest_s) {
            Ok(moments)
        } else {
            Err(WhyNot::TooEchoing)
        }
    }

    /// The frames between two times that sound near the note (within 150 cents).
    #[must_use]
    pub fn moments(&self, from_s: f64, to_s: f64) -> Vec<Moment> {
        let (start, frames) = self.take.heard.track.between(from_s, to_s);
        let step = self.take.heard.track.step_s;
        let moment = |(i, frame): (usize, &Frame)| {
            let cents = 1200.0 * (frame.hz / self.note.hz).log2();
            (frame.sounds() && cents.abs() < 150.0).then_some(Moment {
                at_s: start + i as f64 * step,
                cents,
                uncertainty: f64::from(frame.cents_uncertainty),
            })
        };
        frames.iter().enumerate().filter_map(moment).collect()
    }

    /// True when the recording is overloaded between two times.
    #[must_use]
    pub fn clipped(&self, from_s: f64, to_s: f64) -> bool {
        let clipped = self.take.clipped;
        clipped.iter().any(|(a, b)| *a < to_s && *b > from_s)
    }

    /// True when the next note follows without a stop.
    #[must_use]
    pub fn slurred_out(&self) -> bool {
        self.after.is_some_and(|next| next.slurred)
    }
}

/// One frame of a note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// When.
    pub at_s: f64,
    /// Pitch above the note's own, cents.
    pub cents: f64,
    /// Its standard uncertainty, cents.
    pub uncertainty: f64,
}

/// True when the moments span a time.
pub(super) fn long_enough(moments: &[Moment], seconds: f64) -> bool {
    match (moments.first(), moments.last()) {
        (Some(first), Some(last)) => last.at_s - first.at_s >= seconds,
        _ => false,
    }
}
