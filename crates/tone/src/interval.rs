//! Intervals as a number of staff steps and a number of semitones, both signed.

use std::ops::{Add, Neg, Sub};

use serde::{Deserialize, Serialize};

use crate::Pitch;

/// A directed interval: a major second up is one step and two semitones.
///
/// Sums stop at the ends of `i32` rather than overflow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Interval {
    /// Staff steps, positive upward.
    pub steps: i32,
    /// Semitones, positive upward.
    pub semitones: i32,
}

impl Interval {
    /// No interval at all.
    pub const UNISON: Self = Self::new(0, 0);
    /// A perfect octave up.
    pub const OCTAVE: Self = Self::new(7, 12);

    /// An interval from steps and semitones.
    #[must_use]
    pub const fn new(steps: i32, semitones: i32) -> Self {
        Self { steps, semitones }
    }

    /// The interval from one pitch to another.
    #[must_use]
    pub fn between(from: Pitch, to: Pitch) -> Self {
        Self::new(to.staff_step() - from.staff_step(), to.midi() - from.midi())
    }

    /// How far the interval goes along the line of fifths: a fifth 1, a whole tone 2, an octave 0,
    /// a minor second -5.
    ///
    /// A pitch is steps and semitones; a fifth is 4 steps and 7 semitones, an octave 7 and 12, so
    /// the fifths in an interval are 7 semitones less 12 steps.
    #[must_use]
    pub const fn fifths(self) -> i64 {
        7 * self.semitones as i64 - 12 * self.steps as i64
    }

    /// True for an interval that goes down: by its steps, or by its semitones on the same step.
    #[must_use]
    pub const fn is_down(self) -> bool {
        self.steps < 0 || (self.steps == 0 && self.semitones < 0)
    }

    /// The same interval upward.
    #[must_use]
    pub fn abs(self) -> Self {
        if self.is_down() { -self } else { self }
    }

    /// What is left within the octave when whole octaves are taken away; direction kept.
    #[must_use]
    pub fn simple(self) -> Self {
        let up = self.abs();
        let octaves = up.steps / 7;
        let left = Self::new(
            up.steps - 7 * octaves,
            up.semitones.saturating_sub(octaves.saturating_mul(12)),
        );
        if self.is_down() { -left } else { left }
    }
}

impl Add for Interval {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::new(
            self.steps.saturating_add(other.steps),
            self.semitones.saturating_add(other.semitones),
        )
    }
}

impl Neg for Interval {
    type Output = Self;

    fn neg(self) -> Self {
        Self::new(self.steps.saturating_neg(), self.semitones.saturating_neg())
    }
}

impl Sub for Interval {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Add<Interval> for Pitch {
    type Output = Self;

    fn add(self, by: Interval) -> Self {
        Self::from_step_and_midi(
            self.staff_step().saturating_add(by.steps),
            self.midi().saturating_add(by.semitones),
        )
    }
}

impl Sub<Interval> for Pitch {
    type Output = Self;

    fn sub(self, by: Interval) -> Self {
        self + -by
    }
}
