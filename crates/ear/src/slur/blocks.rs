//! The sound around a change, cut into short blocks that are turned against a pitch.

use std::ops::Range;

use pulp::NullaryFnOnce;

use crate::signal::wide;
use crate::slur::kernel::Kernels;
use crate::slur::row::{Each, HARMONICS, PLACES, Row};
use crate::slur::spectra::{self, Spectra, Still};
use crate::slur::turn::cis;
use crate::thresholds as t;

/// Highest frequency looked at, hertz.
const TOP_HZ: f64 = 4_800.0;
/// Fewest blocks, and fewest samples of one.
const LEAST: (usize, usize) = (12, 8);
/// Weights of the four blocks of a window.
pub(super) const WINDOW: [f32; 4] = [0.5, 1.0, 1.0, 0.5];

/// Power of each harmonic.
pub(super) type Powers = [f64; HARMONICS];

/// The blocks of a stretch of sound.
#[derive(Debug)]
pub(super) struct Blocks {
    rate: f64,
    /// Time of the first sample.
    start_s: f64,
    /// How many there are.
    pub(super) count: usize,
    /// Samples of one.
    size: usize,
    top_hz: f64,
    spectra: Spectra,
}

impl Blocks {
    /// The blocks of `span` in `sound` (working rate) for pitches from `lowest_hz` up; `None` when it
    /// is too short to judge.
    pub(super) fn new(
        kernels: &mut Kernels,
        sound: &[f32],
        rate: f64,
        span: (f64, f64),
        lowest_hz: f64,
    ) -> Option<Self> {
        let seconds = t::SLUR_BLOCK_S.max(t::SLUR_BLOCK_PERIODS / lowest_hz);
        let (size, pieces) = spectra::block(seconds, rate);
        let from = (span.0.max(0.0) * rate).round() as usize;
        let to = ((span.1 * rate).round().max(0.0) as usize).min(sound.len());
        let count = to.checked_sub(from)? / size.max(1);
        if count < LEAST.0 || size < LEAST.1 {
            return None;
        }
        let sound = sound.get(from..from + count * size)?;
        // Both notes are looked at up to one frequency, or the higher would seem to explain more.
        let top_hz = TOP_HZ
            .min(0.4 * rate)
            .min((HARMONICS as f64 + 0.5) * lowest_hz);
        // A harmonic more, for what lies beside the topmost.
        let spectra_hz = top_hz + lowest_hz;
        Some(Self {
            rate,
            start_s: from as f64 / rate,
            count,
            size,
            top_hz,
            spectra: Spectra::new(kernels, sound, rate, size, pieces, spectra_hz),
        })
    }

    /// Seconds of a block.
    pub(super) fn seconds(&self) -> f64 {
        self.size as f64 / self.rate
    }

    /// The block that a time lies in; may be past the last.
    pub(super) fn at(&self, at_s: f64) -> usize {
        ((at_s - self.start_s) / self.seconds()).floor().max(0.0) as usize
    }

    /// When a block begins, seconds.
    pub(super) fn time_of(&self, block: usize) -> f64 {
        self.start_s + block as f64 * self.seconds()
    }

    /// Highest frequency that is looked at, hertz.
    pub(super) fn top_hz(&self) -> f64 {
        self.top_hz
    }

    /// How many harmonics of a pitch are looked at.
    pub(super) fn harmonics(&self, hz: f64) -> usize {
        ((self.top_hz / hz) as usize).clamp(1, HARMONICS)
    }

    /// Half width of a window's response, hertz: that of the shortest window, or less.
    pub(super) fn window_hz(&self) -> f64 {
        t::SLUR_WINDOW_HZ * t::SLUR_BLOCK_S / self.seconds()
    }

    /// Block `index` turned against a pitch that goes evenly from one frequency to another; the
    /// fundamental has turned `start` times before.
    #[inline(always)]
    pub(super) fn row(&self, index: usize, (from_hz, to_hz): (f64, f64), start: f64) -> Row {
        let count = self.harmonics(0.5 * (from_hz + to_hz));
        self.spectra.row(index, (from_hz, to_hz), start, count)
    }

    /// A range of blocks turned against a constant pitch, each from its own beginning, `offset` added to
    /// each harmonic's number; others are 0.
    pub(super) fn rows(&self, hz: f64, offset: f64, range: Range<usize>) -> Vec<Row> {
        let still = self.spectra.still(hz, offset, self.harmonics(hz));
        let mut rows = vec![Row::EMPTY; self.count];
        wide(Rows {
            spectra: &self.spectra,
            still: &still,
            first: range.start,
            rows: rows.get_mut(range).unwrap_or(&mut []),
        });
        rows
    }

    /// Mean power of each harmonic over the windows of a range of blocks of constant pitch.
    pub(super) fn mean_power(
        &self,
        rows: &[Row],
        range: Range<usize>,
        hz: f64,
        offset: f64,
    ) -> Powers {
        let rows = rows.get(range).unwrap_or(&[]);
        let windows = rows.len().saturating_sub(3).max(1) as f64;
        let turns = self.window_turns(hz, offset);
        let mut sums = [0.0_f64; PLACES];
        for window in rows.windows(4) {
            let power: Each = windowed(window, &turns).power();
            for (sum, p) in sums.iter_mut().zip(power) {
                *sum += f64::from(p);
            }
        }
        let mut mean = [0.0; HARMONICS];
        for (slot, sum) in mean.iter_mut().zip(sums).take(self.harmonics(hz)) {
            *slot = sum / windows;
        }
        mean
    }

    /// Amplitude of each harmonic of a constant pitch in every window of some blocks turned against it.
    pub(super) fn amplitudes(&self, rows: &[Row], hz: f64) -> Vec<Each> {
        let turns = self.window_turns(hz, 0.0);
        let windows = rows.windows(4);
        windows.map(|w| windowed(w, &turns).amplitude()).collect()
    }

    /// What turns the four blocks of a window of constant pitch, each from its own beginning, back to the
    /// beginning of the first.
    #[inline(always)]
    pub(super) fn window_turns(&self, hz: f64, offset: f64) -> [Row; 4] {
        let step = hz * self.seconds();
        [0.0, 1.0, 2.0, 3.0].map(|blocks| {
            let turns = blocks * step;
            Row::powers(cis((1.0 + offset) * turns), cis(turns))
        })
    }
}

/// Blocks against a pitch that stands still.
struct Rows<'a> {
    spectra: &'a Spectra,
    still: &'a Still,
    first: usize,
    rows: &'a mut [Row],
}

impl NullaryFnOnce for Rows<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (block, row) in (self.first..).zip(self.rows) {
            *row = self.spectra.still_row(block, self.still);
        }
    }
}

/// The sum of four blocks through the window, each turned by its own row.
#[inline(always)]
pub(super) fn windowed(blocks: &[Row], turns: &[Row; 4]) -> Row {
    let mut sum = Row::EMPTY;
    for ((block, by), weight) in blocks.iter().zip(turns).zip(WINDOW) {
        sum.add(&block.turned(by), weight);
    }
    sum
}
