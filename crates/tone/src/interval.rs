//! Intervals as a number of staff steps and a number of semitones, both signed.

use std::ops::{Add, Neg};

use serde::{Deserialize, Serialize};

use crate::Pitch;

/// A directed interval: a major second up is one step and two semitones.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Interval {
    /// Staff steps, positive upward.
    pub steps: i32,
    /// Semitones, positive upward.
    pub semitones: i32,
}

impl Interval {
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
}

impl Add for Interval {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::new(self.steps + other.steps, self.semitones + other.semitones)
    }
}

impl Neg for Interval {
    type Output = Self;

    fn neg(self) -> Self {
        Self::new(-self.steps, -self.semitones)
    }
}

impl Add<Interval> for Pitch {
    type Output = Self;

    fn add(self, by: Interval) -> Self {
        Self::from_step_and_midi(self.staff_step() + by.steps, self.midi() + by.semitones)
    }
}
