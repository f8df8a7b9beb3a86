//! The states: the notes of all lines in order.

use crate::expected::Expected;
use crate::pitch::Grid;

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
}

/// The notes of all lines in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Model {
    /// The notes.
    pub notes: Vec<ModelNote>,
    /// Grid places of the different pitches.
    pub pitches: Vec<f64>,
}

impl Model {
    /// The model of expected lines, `detune` grid steps above what they ask for.
    #[must_use]
    pub fn new(expected: &Expected, grid: Grid, detune: f64) -> Self {
        let mut model = Self::default();
        for (line, asked) in expected.lines.iter().enumerate() {
            for (note, n) in asked.notes.iter().enumerate() {
                if !(n.hz.is_finite() && n.hz > 0.0) {
                    continue;
                }
                let place = grid.place(n.hz) + detune;
                let known = model.pitches.iter().position(|p| (p - place).abs() < 0.05);
                let pitch = known.unwrap_or_else(|| {
                    model.pitches.push(place);
                    model.pitches.len() - 1
                });
                let first = model.notes.last().is_none_or(|last| last.line != line);
                let slurred = n.slurred && !first;
                model.notes.push(ModelNote {
                    line,
                    note,
                    pitch,
                    slurred,
                    first,
                });
            }
        }
        model
    }

    /// True when note `i` has the pitch of the one before.
    #[must_use]
    pub fn repeats(&self, i: usize) -> bool {
        let before = i.checked_sub(1).and_then(|b| self.notes.get(b));
        let now = self.notes.get(i);
        before.zip(now).is_some_and(|(a, b)| a.pitch == b.pitch)
    }
}
