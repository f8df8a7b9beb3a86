//! The forward pass over the states.

use crate::decode::back::{Back, Came};
use crate::decode::model::{Model, State};
use crate::decode::observe::Observation;
use crate::thresholds as t;

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

/// The forward pass, one frame at a time; the same for files and live. Allocates nothing after
/// it is made.
#[derive(Clone, Debug)]
pub struct Decoder {
    scores: Vec<Scores>,
    next: Vec<Scores>,
    hub: Hub,
}

/// The hub, and the line that the best way to it left.
#[derive(Clone, Copy, Debug, Default)]
struct Hub {
    score: f32,
    left: Option<Left>,
}

/// A line that was left.
#[derive(Clone, Copy, Debug)]
struct Left {
    line: usize,
    finished: bool,
}

impl Hub {
    /// What it costs to take up a line that comes out of turn: of lines that ask for the same, a player
    /// plays the next one, or the same again when it was left unfinished.
    fn out_of_turn(self, line: usize) -> f32 {
        let Some(left) = self.left else {
            return 0.0;
        };
        let next = left.line + usize::from(left.finished);
        let turns: u8 = match line {
            _ if line == next => 0,
            _ if line == left.line || line == left.line + 1 => 1,
            _ if line > left.line => 2,
            _ => 3,
        };
        t::OUT_OF_TURN * f32::from(turns)
    }
}

/// The line that is left from a state.
fn left(model: &Model, from: State) -> Option<Left> {
    let (State::Note(i) | State::Stop(i) | State::Other(i)) = from else {
        return None;
    };
    let line = model.notes.get(i)?.line;
    let finished = model.ends_line(i);
    Some(Left { line, finished })
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
            hub: Hub::default(),
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
            / (t::PATH_SILENCE - t::PATH_SILENCE_LOUD)
            * (1.0 - seen.afresh);
        let (best, from) = self.best_to_hub(model, loud);
        let stays = self.hub.score >= best;
        back.hub = if stays { None } else { Some(from) };
        let hub = self.hub;
        let hub_sounds = seen
            .silence
            .max(seen.any - t::LOOK_WEIGHT * t::EXTRA_MARGIN);
        for (i, note) in model.notes.iter().enumerate() {
            let own = self.scores.get(i).copied();
            let own = own.unwrap_or(NOWHERE);
            let before = if note.first { None } else { i.checked_sub(1) };
            let before = before.and_then(|b| self.scores.get(b)).copied();
            let begins = if note.first {
                t::LINE_START
            } else {
                t::RESTART_INSIDE
            };
            let from_hub = hub.score - begins - hub.out_of_turn(note.line);
            let pitch = seen.pitch.get(note.pitch).copied().unwrap_or(NONE);
            let between = note.way.and_then(|w| seen.way.get(w)).copied();
            let on_way = between.unwrap_or(seen.any);

            // A note that has just begun is what rises here.
            let struck = if own.looks < t::STRUCK_LOOKS {
                0.0
            } else {
                seen.struck
            };
            let mut into_note = (own.note - struck, Came::Same);
            better(&mut into_note, from_hub, Came::Hub);
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
            better(&mut into_way, from_hub - t::WAY_BEGINS, Came::Hub);
            better(&mut into_other, from_hub - t::WRONG_NOTE, Came::Hub);
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
        self.hub.score = hub.score.max(best) + hub_sounds;
        if !stays {
            self.hub.left = left(model, from);
        }
        std::mem::swap(&mut self.scores, &mut self.next);
        let (top, _) = self.now();
        for s in &mut self.scores {
            s.note = (s.note - top).max(NONE);
            s.stop = (s.stop - top).max(NONE);
            s.other = (s.other - top).max(NONE);
            s.way = (s.way - top).max(NONE);
        }
        self.hub.score -= top;
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
        let mut best = (self.hub.score, State::Hub);
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
