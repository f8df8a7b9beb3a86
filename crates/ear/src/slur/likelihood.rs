//! How likely a curve of pitch is, window by window: the loops that a fit spends its time in.

use pulp::NullaryFnOnce;

use crate::slur::blocks::{WINDOW, windowed};
use crate::slur::change::Change;
use crate::slur::evidence::evidence;
use crate::slur::row::{PLACES, Row};
use crate::slur::scene::{Scene, Side};
use crate::slur::spectra::cis;
use crate::thresholds as t;

/// Overlap of the windows: each adds its share of an independent one.
const SHARE: f64 = 2.5 / 9.0;

/// What each note's windows sum up to, were the whole scene that note.
pub(super) struct Sums<'a>(pub(super) &'a Scene<'a>);

impl NullaryFnOnce for Sums<'_> {
    type Output = (Vec<f64>, Vec<f64>);

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self(scene) = self;
        (scene.sums(&scene.old, 0.0), scene.sums(&scene.new, 1.0))
    }
}

/// How well a change explains a scene.
pub(super) struct Likelihood<'a>(pub(super) &'a Scene<'a>, pub(super) &'a Change);

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
            recent.rotate_left(1);
            let [r0, r1, r2, r3] = &mut recent;
            *r3 = match known {
                Some(known) => {
                    let by = cis(turns);
                    known.turned(&Row::powers(by, by))
                }
                None => blocks.row(b, (hz, next_hz), 0.0, turns),
            };
            // A window's middle lies where its second block ends.
            if b >= begin + 3 && b >= first {
                let mut sum = Row::EMPTY;
                for (row, weight) in [&*r0, r1, r2, r3].into_iter().zip(WINDOW) {
                    sum.add(row, weight);
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

impl Scene<'_> {
    /// Sums of the windows before each block, were the whole scene one note.
    #[inline(always)]
    fn sums(&self, side: &Side, progress: f64) -> Vec<f64> {
        let turns = self.blocks.window_turns(side.hz, 0.0);
        let mut sums = vec![0.0; self.blocks.count + 1];
        let mut total = 0.0;
        for (b, window) in side.rows.windows(4).enumerate() {
            let heard = windowed(window, &turns);
            total += self.window(&heard, b + 2, (side.hz, progress), 1.0);
            if let Some(slot) = sums.get_mut(b + 4) {
                *slot = total;
            }
        }
        sums
    }

    /// One window's log-likelihood ratio, from its sum of blocks; its middle lies where block `middle`
    /// begins, with the curve's pitch and progress there.
    #[inline(always)]
    fn window(&self, sum: &Row, middle: usize, (hz, progress): (f64, f64), dip: f64) -> f64 {
        let decay = self.decays.get(middle).copied().unwrap_or(0.0);
        let (dip, progress, hz_32) = (dip.sqrt() as f32, progress as f32, hz as f32);
        // Above the highest harmonic that is looked at nothing is asked, and the noise is any.
        let (mut asked, mut noise) = ([0.0; PLACES], [1.0; PLACES]);
        let sides = self.old.amplitude.iter().zip(&self.new.amplitude);
        let each = asked.iter_mut().zip(&mut noise).zip(sides).enumerate();
        for (n, ((asked, noise), (old, new))) in each.take(self.blocks.harmonics(hz)) {
            *asked = dip * (old + (new - old) * progress);
            *noise = self.backdrop.at((n + 1) as f32 * hz_32, decay);
        }
        let mut heard = sum.power();
        heard.iter_mut().for_each(|p| *p = p.sqrt());
        evidence(&heard, &asked, &noise)
    }
}
