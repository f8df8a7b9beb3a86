//! The most likely path through the salience: one pitch or silence at every step (Viterbi 1967).

use std::ops::Range;

use pulp::NullaryFnOnce;

use crate::pitch::salience::SalienceFrame;
use crate::signal::{most, wide};
use crate::thresholds as t;

/// Reach of the cheap steps, in grid steps.
const REACH: usize = 5;

/// The forward pass, one frame at a time; the same for files and live.
#[derive(Clone, Debug)]
pub struct Forward {
    score: Vec<f32>,
    next: Vec<f32>,
    /// Where the best path into each pitch came from, as wide as a score.
    came: Vec<u32>,
    silence: f32,
    started: bool,
}

/// Where the best path into a state came from: a pitch's index, or [`SILENT`].
pub type From = u16;
/// The silent state.
pub const SILENT: From = u16::MAX;

impl Forward {
    /// For a grid of `count` pitches.
    #[must_use]
    pub fn new(count: usize) -> Self {
        Self {
            score: vec![0.0; count],
            next: vec![0.0; count],
            came: vec![0; count],
            silence: 0.0,
            started: false,
        }
    }

    /// Takes a frame and the salience of silence; writes for every pitch, and last for silence, where its best path came from.
    pub fn step(&mut self, frame: &SalienceFrame, silent: f32, from: &mut [From]) {
        let (best, best_score) = self.best_pitch();
        let jump = best_score - t::PATH_JUMP;
        let start = self.silence - t::PATH_SWITCH;
        let (far, far_from) = if start > jump {
            (start, SILENT)
        } else {
            (jump, best)
        };
        wide(Steps {
            score: &self.score,
            salience: &frame.of_pitch,
            far: (far, far_from.into()),
            next: &mut self.next,
            came: &mut self.came,
        });
        for (slot, came) in from.iter_mut().zip(&self.came) {
            *slot = *came as From;
        }
        let stop = best_score - t::PATH_SWITCH;
        let (silence, came) = if stop > self.silence && self.started {
            (stop, best)
        } else {
            (self.silence, SILENT)
        };
        self.silence = silence + t::PATH_WEIGHT * silent;
        if let Some(slot) = from.last_mut() {
            *slot = came;
        }
        std::mem::swap(&mut self.score, &mut self.next);
        self.started = true;
        self.lower();
    }

    /// The state that the best path is in now.
    #[must_use]
    pub fn now(&self) -> From {
        let (best, score) = self.best_pitch();
        if self.silence >= score { SILENT } else { best }
    }

    fn best_pitch(&self) -> (From, f32) {
        if !self.started {
            return (0, f32::MIN / 4.0);
        }
        let most = most(&self.score);
        let place = self.score.iter().position(|s| *s == most);
        (place.unwrap_or(0) as From, most)
    }

    /// Keeps the scores near zero, so that they never lose precision.
    fn lower(&mut self) {
        let top = most(&self.score).max(self.silence);
        self.score.iter_mut().for_each(|s| *s -= top);
        self.silence -= top;
    }
}

/// The best way into every pitch: a small step, or from `far`.
struct Steps<'a> {
    score: &'a [f32],
    salience: &'a [f32],
    far: (f32, u32),
    next: &'a mut [f32],
    came: &'a mut [u32],
}

impl NullaryFnOnce for Steps<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { score, next, .. } = self;
        let came = self.came.get_mut(..next.len()).unwrap_or(&mut []);
        next.fill(self.far.0);
        came.fill(self.far.1);
        // One pass for each distance of the step, so that each runs along whole rows.
        for away in 0..=REACH.min(score.len()) {
            let cost = t::PATH_STEP * away as f32;
            let (low, high) = (0..score.len() - away, away..score.len());
            pass(score, low.clone(), cost, next, came, high.clone());
            pass(score, high, cost, next, came, low);
        }
        for (next, salience) in next.iter_mut().zip(self.salience) {
            *next += t::PATH_WEIGHT * salience;
        }
    }
}

/// Steps from a range of pitches into another that is as long.
#[inline(always)]
fn pass(
    score: &[f32],
    of: Range<usize>,
    cost: f32,
    next: &mut [f32],
    came: &mut [u32],
    into: Range<usize>,
) {
    let first = of.start as u32;
    let (Some(score), Some(next), Some(came)) = (
        score.get(of),
        next.get_mut(into.clone()),
        came.get_mut(into),
    ) else {
        return;
    };
    let count = score.len().min(next.len()).min(came.len());
    let (score, next, came) = (&score[..count], &mut next[..count], &mut came[..count]);
    for i in 0..count {
        step(
            score[i] - cost,
            first + i as u32,
            &mut next[i],
            &mut came[i],
        );
    }
}

/// Takes a step when it is better than the best so far.
#[inline(always)]
fn step(score: f32, from: u32, best: &mut f32, came: &mut u32) {
    let better = score > *best;
    *best = if better { score } else { *best };
    *came = if better { from } else { *came };
}

/// The best path through frames, as grid places (with the peak's own place between the steps), or
/// `None` where nothing sounds.
#[must_use]
pub fn best_path(frames: &[SalienceFrame], silence: &[f32], count: usize) -> Vec<Option<f64>> {
    let width = count + 1;
    let mut from = vec![SILENT; width * frames.len()];
    let mut forward = Forward::new(count);
    for ((frame, silent), row) in frames.iter().zip(silence).zip(from.chunks_mut(width)) {
        forward.step(frame, *silent, row);
    }
    let mut state = forward.now();
    let mut path = vec![None; frames.len()];
    for ((frame, row), slot) in frames.iter().zip(from.chunks(width)).zip(&mut path).rev() {
        let index = usize::from(state).min(count);
        if state != SILENT {
            *slot = Some(peak(&frame.of_pitch, index));
        }
        state = row.get(index).copied().unwrap_or(SILENT);
    }
    path
}

/// The place of the peak at or beside a grid index, by a parabola.
#[must_use]
pub fn peak(values: &[f32], index: usize) -> f64 {
    let value = |i: usize| values.get(i).copied();
    let at = if index == 0 { 1 } else { index };
    let (Some(a), Some(b), Some(c)) = (value(at - 1), value(at), value(at + 1)) else {
        return index as f64;
    };
    let curve = a - 2.0 * b + c;
    let shift = if curve < -1e-9 {
        0.5 * (a - c) / curve
    } else {
        0.0
    };
    at as f64 + f64::from(shift.clamp(-1.0, 1.0))
}
