//! The forward pass over the states and the way back.

use crate::decode::model::{Model, State};
use crate::decode::observe::Observation;
use crate::thresholds as t;

/// How a state was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
enum Came {
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

const NONE: f32 = f32::MIN / 4.0;

#[derive(Clone, Copy, Debug)]
struct Scores {
    note: f32,
    /// Looks for which the best way has been in the note.
    looks: u8,
    stop: f32,
    other: f32,
    way: f32,
}

const NOWHERE: Scores = Scores {
    note: NONE,
    looks: 0,
    stop: NONE,
    other: NONE,
    way: NONE,
};

/// One frame's way back: four states a note, and where the hub came from.
#[derive(Clone, Debug, Default)]
pub struct Back {
    came: Vec<[Came; 4]>,
    hub: Option<State>,
}

/// The forward pass, one frame at a time; the same for files and live. Allocates nothing after
/// it is made.
#[derive(Clone, Debug)]
pub struct Decoder {
    scores: Vec<Scores>,
    next: Vec<Scores>,
    hub: f32,
}

fn better(best: &mut (f32, Came), score: f32, came: Came) {
    if score > best.0 {
        *best = (score, came);
    }
}

impl Decoder {
    /// For a model: begins in the hub.
    #[must_use]
    pub fn new(model: &Model) -> Self {
        let scores = vec![NOWHERE; model.notes.len()];
        Self {
            next: scores.clone(),
            scores,
            hub: 0.0,
        }
    }

    /// Room for one frame's way back.
    #[must_use]
    pub fn back(&self) -> Back {
        Back {
            came: vec![[Came::Same; 4]; self.scores.len()],
            hub: None,
        }
    }

    /// Takes a frame.
    pub fn step(&mut self, model: &Model, seen: &Observation, back: &mut Back) {
        let loud = (t::PATH_SILENCE - seen.silence / t::LOOK_WEIGHT)
            / (t::PATH_SILENCE - t::PATH_SILENCE_LOUD);
        let (best, from) = self.best_to_hub(model, loud);
        let stays = self.hub >= best;
        back.hub = if stays { None } else { Some(from) };
        let hub_before = self.hub;
        let hub_sounds = seen
            .silence
            .max(seen.any - t::LOOK_WEIGHT * t::EXTRA_MARGIN);
        for (i, note) in model.notes.iter().enumerate() {
            let own = self.scores.get(i).copied();
            let own = own.unwrap_or(NOWHERE);
            let before = if note.first { None } else { i.checked_sub(1) };
            let before = before.and_then(|b| self.scores.get(b)).copied();
            let entry = if note.first {
                t::LINE_START
            } else {
                t::RESTART_INSIDE
            };
            let pitch = seen.pitch.get(note.pitch).copied().unwrap_or(NONE);
            let between = note.way.and_then(|w| seen.way.get(w)).copied();
            let on_way = between.unwrap_or(seen.any);

            let mut into_note = (own.note, Came::Same);
            better(&mut into_note, hub_before - entry, Came::Hub);
            better(&mut into_note, own.other - t::CORRECTS, Came::OwnOther);
            better(&mut into_note, own.way - t::GO_ON, Came::OwnWay);
            let mut into_way = (own.way, Came::Same);
            let mut into_other = (own.other, Came::Same);
            if let Some(mut before) = before {
                if before.looks < t::NOTE_LOOKS {
                    before.note -= t::NOTE_TOO_SHORT;
                }
                let direct = if model.repeats(i) {
                    t::GO_ON - seen.attack.min(t::ATTACK_MOST) + t::ATTACK_MOST
                } else if note.slurred {
                    t::GO_ON
                } else {
                    t::GO_ON + t::UNTONGUED - seen.attack.clamp(0.0, t::UNTONGUED)
                };
                better(&mut into_note, before.note - direct, Came::Before);
                let stopped = if note.slurred { t::UNSLURRED } else { 0.0 };
                better(
                    &mut into_note,
                    before.stop - t::GO_ON - stopped,
                    Came::BeforeStop,
                );
                better(&mut into_note, before.other - t::GO_ON, Came::BeforeOther);
                better(&mut into_other, before.note - t::WRONG_NOTE, Came::Before);
                better(&mut into_way, before.note - t::WAY_BEGINS, Came::Before);
                better(
                    &mut into_other,
                    before.stop - t::WRONG_NOTE,
                    Came::BeforeStop,
                );
                better(
                    &mut into_other,
                    before.other - t::WRONG_NOTE,
                    Came::BeforeOther,
                );
                if !note.slurred {
                    let begins = t::GO_ON + t::WAY_BEGINS;
                    better(&mut into_way, before.stop - begins, Came::BeforeStop);
                    better(&mut into_way, before.other - begins, Came::BeforeOther);
                }
                let two = i
                    .checked_sub(2)
                    .filter(|_| model.notes.get(i - 1).is_some_and(|n| !n.first));
                if let Some(two) = two.and_then(|b| self.scores.get(b)) {
                    better(
                        &mut into_note,
                        two.note.max(two.stop) - t::LEFT_OUT,
                        Came::Skip,
                    );
                }
            }
            let begins = entry + t::WAY_BEGINS;
            better(&mut into_way, hub_before - begins, Came::Hub);
            better(
                &mut into_other,
                hub_before - t::WRONG_NOTE - entry,
                Came::Hub,
            );
            let mut into_stop = (own.stop, Came::Same);
            better(&mut into_stop, own.note - t::STOPS, Came::Own);
            better(&mut into_stop, own.other - t::STOPS, Came::OwnOther);

            if let Some(next) = self.next.get_mut(i) {
                let stays = into_note.1 == Came::Same;
                *next = Scores {
                    note: into_note.0 + pitch,
                    looks: if stays {
                        own.looks.saturating_add(1)
                    } else {
                        1
                    },
                    stop: into_stop.0 + seen.silence,
                    other: into_other.0 + seen.any - t::LOOK_WEIGHT * t::WRONG_MARGIN,
                    way: into_way.0 + on_way - t::WAY_LASTS,
                };
            }
            if let Some(came) = back.came.get_mut(i) {
                *came = [into_note.1, into_stop.1, into_other.1, into_way.1];
            }
        }
        self.hub = hub_before.max(best) + hub_sounds;
        std::mem::swap(&mut self.scores, &mut self.next);
        let (top, _) = self.now();
        for s in &mut self.scores {
            s.note = (s.note - top).max(NONE);
            s.stop = (s.stop - top).max(NONE);
            s.other = (s.other - top).max(NONE);
            s.way = (s.way - top).max(NONE);
        }
        self.hub -= top;
    }

    /// The best score of leaving a line from each note, and that state; `loud` is 0 in silence and
    /// 1 where the sound goes on.
    fn best_to_hub(&self, model: &Model, loud: f32) -> (f32, State) {
        let mut best = (NONE, State::Hub);
        let (sounding, stopped) = (
            t::TO_HUB + t::TO_HUB_SOUNDING * loud,
            t::TO_HUB + t::TO_HUB_LOUD * loud,
        );
        for (i, s) in self.scores.iter().enumerate() {
            let left = if model.ends_line(i) {
                0.0
            } else {
                t::UNFINISHED
            };
            let leaves = [
                (s.note - sounding - left, State::Note(i)),
                (s.stop - stopped - left, State::Stop(i)),
                (s.other - sounding - left, State::Other(i)),
            ];
            for (score, state) in leaves {
                if score > best.0 {
                    best = (score, state);
                }
            }
        }
        best
    }

    /// The best score and the state it is in.
    #[must_use]
    pub fn now(&self) -> (f32, State) {
        let mut best = (self.hub, State::Hub);
        for (i, s) in self.scores.iter().enumerate() {
            for (score, state) in [
                (s.note, State::Note(i)),
                (s.stop, State::Stop(i)),
                (s.other, State::Other(i)),
                (s.way, State::Way(i)),
            ] {
                if score > best.0 {
                    best = (score, state);
                }
            }
        }
        best
    }
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
