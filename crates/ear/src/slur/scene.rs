//! The sound around one change, and how well a curve of pitch explains it.
//!
//! The sound is turned against the curve, harmonic by harmonic, and summed over short overlapping
//! windows: a curve that follows the player's pitch gathers each harmonic's whole power. Every
//! harmonic and window adds its evidence that it sounds as the notes beside lead to expect. The noise
//! grows by what the old note's echo leaves at that frequency, and by what rings on of the new note's
//! harmonics from before, so that neither can pass for a note that sounds.

use num_complex::{Complex32, Complex64};

use crate::slur::backdrop::Backdrop;
use crate::slur::change::Change;
use crate::slur::edges::Edges;
use crate::slur::evidence::evidence;
use crate::slur::spectra::{self, Spectra};
use crate::thresholds as t;

/// Most harmonics that are looked at.
pub const HARMONICS: usize = 20;
/// Highest frequency looked at, hertz.
const TOP_HZ: f64 = 4_800.0;
/// Weights of the four blocks of a window.
const WINDOW: [f32; 4] = [0.5, 1.0, 1.0, 0.5];
/// Overlap of the windows: each adds its share of an independent one.
const SHARE: f64 = 2.5 / 9.0;

/// One block's harmonics.
type Row = [Complex32; HARMONICS];
/// Power of each harmonic.
pub(super) type Powers = [f64; HARMONICS];

const EMPTY: Row = [Complex32::new(0.0, 0.0); HARMONICS];

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

/// The sound around a change.
#[derive(Debug)]
pub struct Scene<'a> {
    sound: &'a [f32],
    rate: f64,
    /// Time of the first sample.
    start_s: f64,
    block: usize,
    blocks: usize,
    top_hz: f64,
    old: Side,
    new: Side,
    spectra: Spectra,
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
        let lowest = old_hz.min(new_hz).max(1.0);
        let seconds = t::SLUR_BLOCK_S.max(t::SLUR_BLOCK_PERIODS / lowest);
        let (block, pieces) = spectra::block(seconds, rate);
        let from = (span.0.max(0.0) * rate).round() as usize;
        let to = ((span.1 * rate).round().max(0.0) as usize).min(sound.len());
        let blocks = to.checked_sub(from)? / block.max(1);
        if blocks < 12 || block < 8 {
            return None;
        }
        let sound = sound.get(from..from + blocks * block)?;
        // Both notes are looked at up to one frequency, or the higher would seem to explain more.
        let top_hz = TOP_HZ
            .min(0.4 * rate)
            .min((HARMONICS as f64 + 0.5) * lowest);
        let mut scene = Self {
            sound,
            rate,
            start_s: from as f64 / rate,
            block,
            blocks,
            top_hz,
            old: Side::default(),
            new: Side::default(),
            // A harmonic more, for what lies beside the topmost.
            spectra: Spectra::new(sound, rate, block, pieces, top_hz + lowest),
            backdrop: Backdrop::default(),
            died_s: span.1,
            room: Room {
                echo: 0.0,
                rt60_s: 1.0,
            },
        };
        let early = 0..scene.block_at(steady.0).clamp(4, blocks);
        let late = scene.block_at(steady.1).min(blocks - 4)..blocks;
        scene.old = scene.side(old_hz, early.clone());
        scene.new = scene.side(new_hz, late);
        let ringing = scene.mean_power(&scene.new.rows, early, new_hz, 0.0);
        scene.backdrop = Backdrop::new(&scene.old, &scene.new, &ringing, top_hz, scene.window_hz());
        Some(scene)
    }

    /// Puts the old note in a room, where it dies from `at_s` on.
    pub fn set_dying(&mut self, at_s: f64, room: Room) {
        (self.died_s, self.room) = (at_s, room);
        self.old.sums = self.sums(&self.old, 0.0);
        self.new.sums = self.sums(&self.new, 1.0);
    }

    fn block_at(&self, at_s: f64) -> usize {
        ((at_s - self.start_s) * self.rate / self.block as f64)
            .floor()
            .max(0.0) as usize
    }

    fn time_of(&self, block: usize) -> f64 {
        self.start_s + (block * self.block) as f64 / self.rate
    }

    fn count(&self, hz: f64) -> usize {
        ((self.top_hz / hz) as usize).clamp(1, HARMONICS)
    }

    /// The blocks of the scene turned against a constant pitch, its power over a range of them.
    fn side(&self, hz: f64, range: std::ops::Range<usize>) -> Side {
        let count = self.count(hz);
        let turned = |offset: f64, blocks: std::ops::Range<usize>| {
            let mut rows = vec![EMPTY; self.blocks];
            for (b, row) in rows
                .iter_mut()
                .enumerate()
                .take(blocks.end)
                .skip(blocks.start)
            {
                let harmonics = row.get_mut(..count).unwrap_or(&mut []);
                self.spectra.row(b, (hz, hz), offset, 0.0, harmonics);
            }
            rows
        };
        let rows = turned(0.0, 0..self.blocks);
        let beside = turned(0.5, range.clone());
        let power = self.mean_power(&rows, range.clone(), hz, 0.0);
        Side {
            hz,
            count,
            power,
            amplitude: power.map(|p| p.max(1e-12).sqrt() as f32),
            beside: self.mean_power(&beside, range, hz, 0.5),
            rows,
            sums: Vec::new(),
        }
    }

    /// Mean power of each harmonic over the windows of a range of blocks of constant pitch.
    fn mean_power(
        &self,
        rows: &[Row],
        range: std::ops::Range<usize>,
        hz: f64,
        offset: f64,
    ) -> Powers {
        let mut mean = [0.0; HARMONICS];
        let rows = rows.get(range).unwrap_or(&[]);
        let windows = rows.len().saturating_sub(3).max(1) as f64;
        let step = hz * self.block as f64 / self.rate;
        for (n, slot) in mean.iter_mut().enumerate().take(self.count(hz)) {
            let turn = cis(((n + 1) as f64 + offset) * step);
            let power = |window: &[Row]| {
                let (mut total, mut by) = (Complex32::default(), Complex32::new(1.0, 0.0));
                for (row, w) in window.iter().zip(WINDOW) {
                    total += row.get(n).copied().unwrap_or_default() * by * w;
                    by *= turn;
                }
                f64::from(total.norm_sqr())
            };
            *slot = rows.windows(4).map(power).sum::<f64>() / windows;
        }
        mean
    }

    /// Half width of a window's response, hertz: that of the shortest window, or less.
    fn window_hz(&self) -> f64 {
        t::SLUR_WINDOW_HZ * t::SLUR_BLOCK_S * self.rate / self.block as f64
    }

    /// Sums of the windows before each block, were the whole scene one note.
    fn sums(&self, side: &Side, progress: f64) -> Vec<f64> {
        let unit = cis(side.hz * self.block as f64 / self.rate);
        let mut sums = vec![0.0; self.blocks + 1];
        let mut total = 0.0;
        for (b, window) in side.rows.windows(4).enumerate() {
            let mut rows = [EMPTY; 4];
            let mut by = Complex32::new(1.0, 0.0);
            for (to, from) in rows.iter_mut().zip(window) {
                turned(from, by, to);
                by *= unit;
            }
            total += self.window(&rows, self.time_of(b + 2), side.hz, progress, 1.0);
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
        let first = self.block_at(from_s).min(self.blocks);
        let last = (self.block_at(to_s) + 1).min(self.blocks);
        let begin = first.saturating_sub(3);
        let end = (last + 3).min(self.blocks);
        let before = self.old.sums.get(first).copied().unwrap_or(0.0);
        let all = self.new.sums.last().copied().unwrap_or(0.0);
        let after = all - self.new.sums.get(end).copied().unwrap_or(all);
        let seconds = self.block as f64 / self.rate;
        let mut recent = [EMPTY; 4];
        let (mut turns, mut total) = (0.0_f64, 0.0);
        let (mut hz, _) = curve.at(self.time_of(begin));
        for b in begin..end {
            let (next_hz, _) = curve.at(self.time_of(b + 1));
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
                None => {
                    let count = self.count(0.5 * (hz + next_hz));
                    row.fill(Complex32::default());
                    let harmonics = row.get_mut(..count).unwrap_or(&mut []);
                    self.spectra.row(b, (hz, next_hz), 0.0, turns, harmonics);
                }
            }
            // A window's middle lies where its second block ends.
            if b >= begin + 3 && b >= first {
                let centre = self.time_of(b - 1);
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
        for (n, (((a, b), (c, d)), (old, new))) in each.enumerate().take(self.count(hz)) {
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
        let from = self.block_at(near_s + 0.06);
        let to = self.block_at(near_s + 0.11).min(self.blocks);
        if to < from + 4 {
            return None;
        }
        let after = self.mean_power(&self.old.rows, from..to, self.old.hz, 0.0);
        let clear = |n: usize| {
            let hz = (n as f64 + 1.0) * self.old.hz;
            let order = (hz / self.new.hz).round().max(1.0);
            (hz - order * self.new.hz).abs() > t::SLUR_OWN_WINDOWS * self.window_hz()
        };
        let at = |p: &Powers, n: usize| p.get(n).copied().unwrap_or(0.0);
        let (mut left, mut whole) = (0.0, 0.0);
        for n in (0..self.count(self.old.hz)).filter(|n| clear(*n)) {
            left += (at(&after, n) - at(&self.old.beside, n)).max(0.0);
            whole += at(&self.old.power, n);
        }
        (whole > 0.0).then(|| (left / whole).min(1.0))
    }

    /// When each note's own harmonics say that the old one is left and the new one there.
    #[must_use]
    pub fn edges(&self, search: (f64, f64)) -> Edges {
        Edges::find(
            self.sound,
            self.rate,
            self.start_s,
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

/// The phasor that takes back so many turns.
fn cis(turns: f64) -> Complex32 {
    let turn = Complex64::cis(-std::f64::consts::TAU * turns.fract());
    Complex32::new(turn.re as f32, turn.im as f32)
}

/// A row whose harmonic `n` is turned `n` times by `by`.
fn turned(row: &Row, by: Complex32, out: &mut Row) {
    let mut turn = by;
    for (to, from) in out.iter_mut().zip(row) {
        *to = from * turn;
        turn *= by;
    }
}
