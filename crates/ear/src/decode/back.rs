//! The way back through the states, and what it makes of a whole take.

use crate::decode::model::{Model, State};
use crate::decode::observe::Observation;
use crate::decode::viterbi::Decoder;

/// How a state was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) enum Came {
    /// It went on.
    #[default]
    Same,
    /// From the sounding state of the note before.
    Before,
    /// From the stop after the note before.
    BeforeStop,
    /// From what sounded in the place of the note before.
    BeforeOther,
    /// Over a note that was left out.
    Skip,
    /// From the note's own sounding state.
    Own,
    /// From what sounded in this note's place.
    OwnOther,
    /// From the way into this note.
    OwnWay,
    /// From the hub.
    Hub,
}

/// One frame's way back: four states a note, and where the hub came from.
#[derive(Clone, Debug, Default)]
pub struct Back {
    pub(super) came: Vec<[Came; 4]>,
    pub(super) hub: Option<State>,
}

impl Back {
    /// The state before `state`.
    #[must_use]
    pub fn before(&self, model: &Model, state: State) -> State {
        let came = |i: usize, which: usize| {
            self.came
                .get(i)
                .and_then(|c| c.get(which))
                .copied()
                .unwrap_or_default()
        };
        let (i, which) = match state {
            State::Hub => return self.hub.unwrap_or(State::Hub),
            State::Note(i) => (i, 0),
            State::Stop(i) => (i, 1),
            State::Other(i) => (i, 2),
            State::Way(i) => (i, 3),
        };
        match came(i, which) {
            Came::Same => state,
            Came::Before => State::Note(i.saturating_sub(1)),
            Came::BeforeStop => State::Stop(i.saturating_sub(1)),
            Came::BeforeOther => State::Other(i.saturating_sub(1)),
            Came::Skip => State::Note(i.saturating_sub(2).min(model.notes.len())),
            Came::Own => State::Note(i),
            Came::OwnOther => State::Other(i),
            Came::OwnWay => State::Way(i),
            Came::Hub => State::Hub,
        }
    }
}

/// A stretch of frames in one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// The state.
    pub state: State,
    /// First coarse frame.
    pub from: usize,
    /// One past the last.
    pub to: usize,
}

/// The most likely states of a whole take.
#[must_use]
pub fn decode(model: &Model, seen: &[Observation]) -> Vec<Segment> {
    let mut decoder = Decoder::new(model);
    let mut backs = Vec::with_capacity(seen.len());
    for observation in seen {
        let mut back = decoder.back();
        decoder.step(model, observation, &mut back);
        backs.push(back);
    }
    let (_, mut state) = decoder.now();
    let mut segments: Vec<Segment> = Vec::new();
    for (frame, back) in backs.iter().enumerate().rev() {
        let entered = back.before(model, state) != state;
        match segments.last_mut() {
            Some(last) if last.state == state && last.from == frame + 1 => last.from = frame,
            _ => segments.push(Segment {
                state,
                from: frame,
                to: frame + 1,
            }),
        }
        if entered {
            state = back.before(model, state);
        }
    }
    segments.reverse();
    segments
}
