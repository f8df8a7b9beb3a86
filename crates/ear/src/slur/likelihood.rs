//! How likely a curve of pitch is, window by window: the loops that a fit spends its time in.

use pulp::NullaryFnOnce;

use crate::slur::blocks::WINDOW;
use crate::slur::change::Change;
use crate::slur::evidence::evidence;
use crate::slur::row::{Each, PLACES, Row};
use crate::slur::scene::{Scene, Side};
use crate::slur::turn::cis;
use crate::thresholds as t;

/// Overlap of the windows: each adds its share of an independent one.
const SHARE: f64 = 2.5 / 9.0;

/// What each note's windows sum up to, were the whole scene that note.
pub(super) struct Sums<'a>(pub(super) &'a Scene);

impl NullaryFnOnce for Sums<'_> {
    type Output = (Vec<f64>, Vec<f64>);

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self(scene) = self;
        (scene.sums(&scene.old, 0.0), scene.sums(&scene.new, 1.0))
    }
}

/// How well a change explains a scene.
pub(super) struct Likelihood<'a>(pub(super) &'a Scene, pub(super) &'a Change);

impl NullaryFnOnce for Likelihood<'_> {
    type Output = f64;

    #[inline(always)]
    fn call(self) -> f64 {
        let Self(scene, change) = self;
        let blocks = &scene.blocks;
        let (from_s, to_s) = (change.from_s(), change.to_s());
        let curve = change.curve();
        // Windows that end before the change and those that begin after it are known.
        let first = blocks.at(from_s).min(blocks.count);
        let last = (blocks.at(to_s) + 1).min(blocks.count);
        let begin = first.saturating_sub(3);
        let end = (last + 3).min(blocks.count);
        let before = scene.old.sums.get(first).copied().unwrap_or(0.0);
        let all = scene.new.sums.last().copied().unwrap_or(0.0);
        let after = all - scene.new.sums.get(end).copied().unwrap_or(all);
        let seconds = blocks.seconds();
        let mut recent = [Row::EMPTY; 4];
        let (mut turns, mut total) = (0.0_f64, 0.0);
        // The curve at the beginning of the block before, of this one and of the next.
        let mut here = curve.at(blocks.time_of(begin));
        let mut behind = here;
        for b in begin..end {
            let next = curve.at(blocks.time_of(b + 1));
            let (hz, next_hz) = (here.0, next.0);
            let known = if b < first {
                scene.old.rows.get(b)
            } else if b >= last {
                scene.new.rows.get(b)
            } else {
                None
            };
            let newest = match known {
                Some(known) => {
                    let by = cis(turns);
                    known.turned(&Row::powers(by, by))
                }
                None => blocks.row(b, (hz, next_hz), turns),
            };
            if let Some(slot) = recent.get_mut(b % 4) {
                *slot = newest;
            }
            // A window's middle lies where its second block ends.
            if b >= begin + 3 && b >= first {
                let mut sum = Row::EMPTY;
                for (after, weight) in WINDOW.into_iter().enumerate() {
                    if let Some(row) = recent.get((b + 1 + after) % 4) {
                        sum.add(row, weight);
                    }
                }
                let centre = blocks.time_of(b - 1);
                let within = centre > from_s && centre < to_s;
                let dip = if within { t::SLUR_DIP } else { 1.0 };
                total += scene.window(&sum, b - 1, behind, dip);
            }
            turns = (turns + 0.5 * (hz + next_hz) * seconds).fract();
            (behind, here) = (here, next);
        }
        (before + total + after) * SHARE
    }
}

impl Scene {
    /// Sums of the windows before each block, of those that may hold one note alone.
    #[inline(always)]
    fn sums(&self, side: &Side, progress: f64) -> Vec<f64> {
        let beside = self.beside(side.hz);
        let asked = self.asked((side.hz, progress), 1.0);
        let mut total = 0.0;
        let mut sums = vec![0.0; self.blocks.count + 1];
        let (first, heard) = &side.heard;
        let mut heard = heard.iter();
        // A window of four blocks counts from the end of its last on.
        for (block, slot) in sums.iter_mut().enumerate().skip(first + 4) {
            if let Some(heard) = heard.next() {
                total += evidence(heard, &asked, &self.noise(&beside, block - 2));
            }
            *slot = total;
        }
        sums
    }

    /// Power at each harmonic of a pitch beside the curve's, and what the whole echo adds to it.
    #[inline(always)]
    fn beside(&self, hz: f64) -> (Each, Each) {
        // Above the highest harmonic that is looked at nothing is asked, and the noise is any.
        let (mut calm, mut echo) = ([1.0; PLACES], [0.0; PLACES]);
        let hz_32 = hz as f32;
        let mut at = hz_32;
        let each = calm.iter_mut().zip(&mut echo);
        for (calm, echo) in each.take(self.blocks.harmonics(hz)) {
            (*calm, *echo) = self.backdrop.at(at);
            at += hz_32;
        }
        (calm, echo)
    }

    /// The noise where a block begins.
    #[inline(always)]
    fn noise(&self, (calm, echo): &(Each, Each), block: usize) -> Each {
        let decay = self.decays.get(block).copied().unwrap_or(0.0);
        let mut noise = *calm;
        for (noise, echo) in noise.iter_mut().zip(echo) {
            *noise += decay * echo;
        }
        noise
    }

    /// The amplitude that is asked of each harmonic on the curve; nothing above the highest that is
    /// looked at.
    #[inline(always)]
    fn asked(&self, (hz, progress): (f64, f64), dip: f64) -> Each {
        let count = self.blocks.harmonics(hz) as i32;
        let (dip, progress) = (dip.sqrt() as f32, progress as f32);
        let (old, new) = (&self.old.amplitude, &self.new.amplitude);
        let mut asked = [0.0; PLACES];
        for n in 0..PLACES {
            let there = if (n as i32) < count { dip } else { 0.0 };
            asked[n] = there * (old[n] + (new[n] - old[n]) * progress);
        }
        asked
    }

    /// One window's log-likelihood ratio, from its sum of blocks; its middle lies where block `middle`
    /// begins, with the curve's pitch and progress there.
    #[inline(always)]
    fn window(&self, sum: &Row, middle: usize, curve: (f64, f64), dip: f64) -> f64 {
        let noise = self.noise(&self.beside(curve.0), middle);
        evidence(&sum.amplitude(), &self.asked(curve, dip), &noise)
    }
}
