//! The states: the notes of all lines in order.

use crate::expected::Expected;
use crate::pitch::Grid;
use crate::thresholds as t;

/// What sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Nothing, or something that belongs to no line: before, between and after.
    Hub,
    /// The expected note of this index.
    Note(usize),
    /// The stop after the note of this index.
    Stop(usize),
    /// Something else in the place of the note of this index.
    Other(usize),
    /// The way into the note of this index: the glide of a slur, a partial caught for a moment, the
    /// unsettled periods of an attack.
    Way(usize),
}

/// One expected note as the model sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelNote {
    /// Index of its line and of itself within it.
    pub line: usize,
    /// Index within the line.
    pub note: usize,
    /// Index of its pitch in [`Model::pitches`].
    pub pitch: usize,
    /// True when slurred from the note before.
    pub slurred: bool,
    /// True for the first of a line.
    pub first: bool,
    /// Index in [`Model::ways`] of the pitches between the note before and this one, where it is
    /// slurred into and there are some; any pitch may sound on other ways.
    pub way: Option<usize>,
}

/// The notes of all lines in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Model {
    /// The notes.
    pub notes: Vec<ModelNote>,
    /// Grid places of the different pitches.
    pub pitches: Vec<f64>,
    /// First and one past the last grid step of each different way between two slurred notes.
    pub ways: Vec<(usize, usize)>,
}

impl Model {
    /// The model of expected lines; `detune` says by how many grid steps a take lies above what is asked
    /// for at a place.
    #[must_use]
    pub fn new(expected: &Expected, grid: Grid, detune: impl Fn(f64) -> f64) -> Self {
        let mut model = Self::default();
        // The pitches as they are asked for: each is tuned once.
        let mut asked_for: Vec<f64> = Vec::new();
        for (line, asked) in expected.lines.iter().enumerate() {
            for (note, n) in asked.notes.iter().enumerate() {
                if !(n.hz.is_finite() && n.hz > 0.0) {
                    continue;
                }
                let place = grid.place(n.hz);
                let known = asked_for.iter().position(|p| (p - place).abs() < 0.05);
                let pitch = known.unwrap_or_else(|| {
                    asked_for.push(place);
                    model.pitches.push(place + detune(place));
                    asked_for.len() - 1
                });
                let first = model.notes.last().is_none_or(|last| last.line != line);
                let slurred = n.slurred && !first;
                let before = model.notes.last().map(|n: &ModelNote| n.pitch);
                let way = before.filter(|_| slurred).and_then(|b| model.way(b, pitch));
                model.notes.push(ModelNote {
                    line,
                    note,
                    pitch,
                    slurred,
                    first,
                    way,
                });
            }
        }
        model
    }

    /// The way between two pitches by their indices; `None` when nothing lies between them.
    fn way(&mut self, from: usize, to: usize) -> Option<usize> {
        let (a, b) = (*self.pitches.get(from)?, *self.pitches.get(to)?);
        let low = (a.min(b) + t::WAY_EDGE_STEPS).ceil().max(0.0) as usize;
        let high = (a.max(b) - t::WAY_EDGE_STEPS).floor().max(0.0) as usize + 1;
        if low >= high {
            return None;
        }
        let known = self.ways.iter().position(|way| *way == (low, high));
        Some(known.unwrap_or_else(|| {
            self.ways.push((low, high));
            self.ways.len() - 1
        }))
    }

    /// True when note `i` is the last of its line.
    #[must_use]
    pub fn ends_line(&self, i: usize) -> bool {
        self.notes.get(i + 1).is_none_or(|next| next.first)
    }

    /// True when note `i` has the pitch of the one before.
    #[must_use]
    pub fn repeats(&self, i: usize) -> bool {
        let before = i.checked_sub(1).and_then(|b| self.notes.get(b));
        let now = self.notes.get(i);
        before.zip(now).is_some_and(|(a, b)| a.pitch == b.pitch)
    }
}
