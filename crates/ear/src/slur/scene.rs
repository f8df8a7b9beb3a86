//! The sound around one change, and how well a curve of pitch explains it.
//!
//! The sound is turned against the curve, harmonic by harmonic, and summed over short overlapping
//! windows: a curve that follows the player's pitch gathers each harmonic's whole power. Every
//! harmonic and window adds its evidence that it sounds as the notes beside lead to expect. The noise
//! grows by what the old note's echo leaves at that frequency, and by what rings on of the new note's
//! harmonics from before, so that neither can pass for a note that sounds.

use std::ops::Range;

use num_complex::Complex32;

use crate::slur::backdrop::Backdrop;
use crate::slur::blocks::{Blocks, EMPTY, HARMONICS, Powers, Row, WINDOW, turned};
use crate::slur::change::Change;
use crate::slur::edges::Edges;
use crate::slur::evidence::evidence;
use crate::slur::spectra::cis;
use crate::thresholds as t;

/// Overlap of the windows: each adds its share of an independent one.
const SHARE: f64 = 2.5 / 9.0;

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
    rows: Vec<Row>,
    pub(super) power: Powers,
    /// Square root of `power`.
    amplitude: [f32; HARMONICS],
    /// Mean power half a harmonic further up.
    pub(super) beside: Powers,
    /// Sum of the windows before each block, were the whole scene this note.
    sums: Vec<f64>,
}

impl Side {
    /// A note of constant pitch that is steady in a range of blocks.
    fn new(blocks: &Blocks<'_>, hz: f64, steady: Range<usize>) -> Self {
        let rows = blocks.rows(hz, 0.0, 0..blocks.count);
        let beside = blocks.rows(hz, 0.5, steady.clone());
        let power = blocks.mean_power(&rows, steady.clone(), hz, 0.0);
        Self {
            hz,
            count: blocks.harmonics(hz),
            power,
            amplitude: power.map(|p| p.max(1e-12).sqrt() as f32),
            beside: blocks.mean_power(&beside, steady, hz, 0.5),
            rows,
            sums: Vec::new(),
        }
    }
}

/// The sound around a change.
#[derive(Debug)]
pub struct Scene<'a> {
    blocks: Blocks<'a>,
    old: Side,
    new: Side,
    backdrop: Backdrop,
    died_s: f64,
    room: Room,
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
            died_s: span.1,
            room: Room {
                echo: 0.0,
                rt60_s: 1.0,
            },
        })
    }

    /// Puts the old note in a room, where it dies from `at_s` on.
    pub fn set_dying(&mut self, at_s: f64, room: Room) {
        (self.died_s, self.room) = (at_s, room);
        self.old.sums = self.sums(&self.old, 0.0);
        self.new.sums = self.sums(&self.new, 1.0);
    }

    /// Sums of the windows before each block, were the whole scene one note.
    fn sums(&self, side: &Side, progress: f64) -> Vec<f64> {
        let unit = cis(side.hz * self.blocks.seconds());
        let mut sums = vec![0.0; self.blocks.count + 1];
        let mut total = 0.0;
        for (b, window) in side.rows.windows(4).enumerate() {
            let mut rows = [EMPTY; 4];
            let mut by = Complex32::new(1.0, 0.0);
            for (to, from) in rows.iter_mut().zip(window) {
                turned(from, by, to);
                by *= unit;
            }
            total += self.window(&rows, self.blocks.time_of(b + 2), side.hz, progress, 1.0);
            if let Some(slot) = sums.get_mut(b + 4) {
                *slot = total;
            }
        }
        sums
    }

    /// Log-likelihood of a change over noise alone, nats. Set the room first.
    #[must_use]
    pub fn likelihood(&self, change: &Change) -> f64 {
        let (from_s, to_s) = (change.from_s(), change.to_s());
        let curve = change.curve();
        // Windows that end before the change and those that begin after it are known.
        let first = self.blocks.at(from_s).min(self.blocks.count);
        let last = (self.blocks.at(to_s) + 1).min(self.blocks.count);
        let begin = first.saturating_sub(3);
        let end = (last + 3).min(self.blocks.count);
        let before = self.old.sums.get(first).copied().unwrap_or(0.0);
        let all = self.new.sums.last().copied().unwrap_or(0.0);
        let after = all - self.new.sums.get(end).copied().unwrap_or(all);
        let seconds = self.blocks.seconds();
        let mut recent = [EMPTY; 4];
        let (mut turns, mut total) = (0.0_f64, 0.0);
        let (mut hz, _) = curve.at(self.blocks.time_of(begin));
        for b in begin..end {
            let (next_hz, _) = curve.at(self.blocks.time_of(b + 1));
            recent.rotate_left(1);
            let [_, _, _, row] = &mut recent;
            let known = if b < first {
                self.old.rows.get(b)
            } else if b >= last {
                self.new.rows.get(b)
            } else {
                None
            };
            match known {
                Some(known) => turned(known, cis(turns), row),
                None => self.blocks.row(b, (hz, next_hz), 0.0, turns, row),
            }
            // A window's middle lies where its second block ends.
            if b >= begin + 3 && b >= first {
                let centre = self.blocks.time_of(b - 1);
                let (at_hz, progress) = curve.at(centre);
                let within = centre > from_s && centre < to_s;
                let dip = if within { t::SLUR_DIP } else { 1.0 };
                total += self.window(&recent, centre, at_hz, progress, dip);
            }
            turns = (turns + 0.5 * (hz + next_hz) * seconds).fract();
            hz = next_hz;
        }
        (before + total + after) * SHARE
    }

    /// One window's log-likelihood ratio.
    fn window(&self, rows: &[Row; 4], at_s: f64, hz: f64, progress: f64, dip: f64) -> f64 {
        let since = (at_s - self.died_s).max(0.0);
        let decay = self.room.echo * (-13.8 * since / self.room.rt60_s.max(0.05)).exp();
        let (decay, progress) = (decay as f32, progress as f32);
        let [r0, r1, r2, r3] = rows;
        let sides = self.old.amplitude.iter().zip(&self.new.amplitude);
        let each = r0.iter().zip(r1).zip(r2.iter().zip(r3)).zip(sides);
        let dip = dip.sqrt() as f32;
        let mut sum = 0.0;
        for (n, (((a, b), (c, d)), (old, new))) in each.enumerate().take(self.blocks.harmonics(hz))
        {
            let asked = dip * (old + (new - old) * progress);
            let noise = self.backdrop.at((n + 1) as f32 * hz as f32, decay);
            let heard = (a * WINDOW[0] + b + c + d * WINDOW[3]).norm_sqr().sqrt();
            sum += evidence(heard, asked, noise);
        }
        f64::from(sum)
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
