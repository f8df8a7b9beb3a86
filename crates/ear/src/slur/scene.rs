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
use crate::slur::edges::Edges;
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
    /// Sum of the windows before each block, were the whole scene this note.
    pub(super) sums: Vec<f64>,
}

impl Side {
    /// A note of constant pitch that is steady in a range of blocks.
    fn new(blocks: &Blocks<'_>, hz: f64, steady: Range<usize>) -> Self {
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
            rows,
            sums: Vec::new(),
        }
    }
}

/// The sound around a change.
#[derive(Debug)]
pub struct Scene<'a> {
    pub(super) blocks: Blocks<'a>,
    pub(super) old: Side,
    pub(super) new: Side,
    pub(super) backdrop: Backdrop,
    /// Echo of the old note over its direct power where each block begins.
    pub(super) decays: Vec<f32>,
}

impl<'a> Scene<'a> {
    /// The scene of `span` in `sound` (working rate); the old note is steady before `steady.0`,
    /// the new one after `steady.1`. `None` when it is too short to judge.
    #[must_use]
    pub fn new(
        sound: &'a [f32],
        rate: f64,
        span: (f64, f64),
        steady: (f64, f64),
        old_hz: f64,
        new_hz: f64,
    ) -> Option<Self> {
        let blocks = Blocks::new(sound, rate, span, old_hz.min(new_hz).max(1.0))?;
        let early = 0..blocks.at(steady.0).clamp(4, blocks.count);
        let late = blocks.at(steady.1).min(blocks.count - 4)..blocks.count;
        let old = Side::new(&blocks, old_hz, early.clone());
        let new = Side::new(&blocks, new_hz, late);
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

    /// When each note's own harmonics say that the old one is left and the new one there.
    #[must_use]
    pub fn edges(&self, search: (f64, f64)) -> Edges {
        Edges::find(
            self.blocks.sound,
            self.blocks.rate,
            self.blocks.start_s,
            search,
            self.old.hz,
            self.new.hz,
        )
    }

    /// The pitches left and entered.
    #[must_use]
    pub fn pitches(&self) -> (f64, f64) {
        (self.old.hz, self.new.hz)
    }
}
