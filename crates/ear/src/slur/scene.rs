//! The sound around one change, and how well a curve of pitch explains it.
//!
//! The sound is turned against the curve, harmonic by harmonic, and summed over short overlapping
//! windows: a curve that follows the player's pitch gathers each harmonic's whole power. Every
//! harmonic and window adds its evidence that it sounds as the notes beside lead to expect. The noise
//! grows by what the old note's echo leaves at that frequency, and by what rings on of the new note's
//! harmonics from before, so that neither can pass for a note that sounds.

use std::ops::Range;

use crate::signal::wide;
use crate::slur::backdrop::Backdrop;
use crate::slur::blocks::{Blocks, Powers};
use crate::slur::change::Change;
use crate::slur::kernel::Kernels;
use crate::slur::likelihood::{Likelihood, Sums};
use crate::slur::row::{Each, PLACES, Row};
use crate::thresholds as t;

/// How the room answers, for the old note's echo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Echo over direct power of a steady note.
    pub echo: f64,
    /// Reverberation time, seconds.
    pub rt60_s: f64,
}

/// One of the two notes: its pitch, its blocks turned against it, its harmonics' mean power.
#[derive(Debug, Default)]
pub(super) struct Side {
    pub(super) hz: f64,
    /// How many harmonics are looked at.
    pub(super) count: usize,
    pub(super) rows: Vec<Row>,
    pub(super) power: Powers,
    /// Square root of `power`.
    pub(super) amplitude: Each,
    /// Mean power half a harmonic further up.
    pub(super) beside: Powers,
    /// Amplitude of each harmonic in the windows that may hold this note alone, and the first of them.
    pub(super) heard: (usize, Vec<Each>),
    /// Sum of those windows before each block.
    pub(super) sums: Vec<f64>,
}

impl Side {
    /// A note of constant pitch that is steady in a range of blocks and may last for another.
    fn new(blocks: &Blocks, hz: f64, steady: Range<usize>, lasts: Range<usize>) -> Self {
        let rows = blocks.rows(hz, 0.0, 0..blocks.count);
        let beside = blocks.rows(hz, 0.5, steady.clone());
        let power = blocks.mean_power(&rows, steady.clone(), hz, 0.0);
        let mut amplitude = [0.0; PLACES];
        for (amplitude, p) in amplitude.iter_mut().zip(&power) {
            *amplitude = p.max(1e-12).sqrt() as f32;
        }
        Self {
            hz,
            count: blocks.harmonics(hz),
            power,
            amplitude,
            beside: blocks.mean_power(&beside, steady, hz, 0.5),
            heard: (
                lasts.start,
                blocks.amplitudes(rows.get(lasts).unwrap_or(&[]), hz),
            ),
            rows,
            sums: Vec::new(),
        }
    }
}

/// The sound around a change.
#[derive(Debug)]
pub struct Scene {
    pub(super) blocks: Blocks,
    pub(super) old: Side,
    pub(super) new: Side,
    pub(super) backdrop: Backdrop,
    /// Echo of the old note over its direct power where each block begins.
    pub(super) decays: Vec<f32>,
}

impl Scene {
    /// The scene of `span` in `sound` (working rate); the old note is steady before `steady.0`,
    /// the new one after `steady.1`, and the middle of the change lies between. `None` when it is too short to judge.
    #[must_use]
    pub(super) fn new(
        kernels: &mut Kernels,
        sound: &[f32],
        rate: f64,
        span: (f64, f64),
        steady: (f64, f64),
        (old_hz, new_hz): (f64, f64),
    ) -> Option<Self> {
        let blocks = Blocks::new(kernels, sound, rate, span, old_hz.min(new_hz).max(1.0))?;
        let early = 0..blocks.at(steady.0).clamp(4, blocks.count);
        let late = blocks.at(steady.1).min(blocks.count - 4)..blocks.count;
        // The change lies between: at its latest the old note lasts to the end of that, and so on.
        let before = 0..(blocks.at(steady.1) + 1).min(blocks.count);
        let after = blocks.at(steady.0).min(blocks.count)..blocks.count;
        let old = Side::new(&blocks, old_hz, early.clone(), before);
        let new = Side::new(&blocks, new_hz, late, after);
        let ringing = blocks.mean_power(&new.rows, early, new_hz, 0.0);
        Some(Self {
            backdrop: Backdrop::new(&old, &new, &ringing, blocks.top_hz(), blocks.window_hz()),
            blocks,
            old,
            new,
            decays: Vec::new(),
        })
    }

    /// Puts the old note in a room, where it dies from `at_s` on.
    pub fn set_dying(&mut self, at_s: f64, room: Room) {
        let decay = |block: usize| {
            let since = (self.blocks.time_of(block) - at_s).max(0.0);
            (room.echo * (-13.8 * since / room.rt60_s.max(0.05)).exp()) as f32
        };
        self.decays = (0..=self.blocks.count).map(decay).collect();
        (self.old.sums, self.new.sums) = wide(Sums(self));
    }

    /// Log-likelihood of a change over noise alone, nats. Set the room first.
    #[must_use]
    pub fn likelihood(&self, change: &Change) -> f64 {
        wide(Likelihood(self, change))
    }

    /// What is left of the old note's power some 85 ms after a change near `near_s`, as a share;
    /// `None` when none of its harmonics stands clear of the new note's.
    #[must_use]
    pub fn left_over(&self, near_s: f64) -> Option<f64> {
        let from = self.blocks.at(near_s + 0.06);
        let to = self.blocks.at(near_s + 0.11).min(self.blocks.count);
        if to < from + 4 {
            return None;
        }
        let after = self
            .blocks
            .mean_power(&self.old.rows, from..to, self.old.hz, 0.0);
        let clear = |n: usize| {
            let hz = (n as f64 + 1.0) * self.old.hz;
            let order = (hz / self.new.hz).round().max(1.0);
            (hz - order * self.new.hz).abs() > t::SLUR_OWN_WINDOWS * self.blocks.window_hz()
        };
        let at = |p: &Powers, n: usize| p.get(n).copied().unwrap_or(0.0);
        let (mut left, mut whole) = (0.0, 0.0);
        for n in (0..self.old.count).filter(|n| clear(*n)) {
            left += (at(&after, n) - at(&self.old.beside, n)).max(0.0);
            whole += at(&self.old.power, n);
        }
        (whole > 0.0).then(|| (left / whole).min(1.0))
    }

    /// The pitches left and entered.
    #[must_use]
    pub fn pitches(&self) -> (f64, f64) {
        (self.old.hz, self.new.hz)
    }
}
