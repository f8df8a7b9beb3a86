//! What the level does around every moment, as far as it speaks for an attack.

use crate::analysis::Analysis;
use crate::free::median;
use crate::thresholds as t;

/// Levels a coarse step: an attack is looked for twice as finely as pitch.
const FINE: usize = 2;
/// How far a dip is looked for on either side, seconds.
const DIP_REACH_S: f64 = 0.08;
/// A rise is that from all of so much before a moment, but for the last moment of it, ...
const BEFORE_S: f64 = 0.07;
/// ... to the middle level of what follows between these, seconds.
const AFTER_S: (f64, f64) = (0.015, 0.085);
/// A rise is the greatest within this on either side, seconds.
const TOP_REACH_S: f64 = 0.06;

/// What the level does around a moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Swing {
    /// How far it dips below what comes within 80 ms before and after, dB.
    pub dip_db: f64,
    /// How far what follows stands above all that was just before, dB: neither a click nor the beats of an
    /// echo, which swing by as much, make it stand.
    pub rise_db: f64,
    /// True where it rises most.
    pub top: bool,
}

/// The swings of the level at every coarse step; levels are taken over whole periods of the path's pitch.
/// Rises are looked for only where the echo is held: where none hides a stop, a horn's slow attack would
/// feign one.
#[must_use]
pub fn swings(analysis: &Analysis, path: &[Option<f64>]) -> Vec<Swing> {
    let fine = |i: usize| {
        let hz = path.get(i / FINE).copied().flatten().unwrap_or(0.0);
        analysis.level_db(i as f64 * t::COARSE_STEP_S / FINE as f64, hz)
    };
    let levels: Vec<f64> = (0..analysis.salience.len() * FINE).map(fine).collect();
    let mut swings: Vec<Swing> = (0..analysis.salience.len())
        .map(|frame| swing(&levels, frame * FINE))
        .collect();
    if analysis.echo_held {
        mark_tops(&mut swings);
    } else {
        swings.iter_mut().for_each(|s| s.rise_db = 0.0);
    }
    swings
}

fn swing(levels: &[f64], i: usize) -> Swing {
    let steps = |seconds: f64| (seconds / t::COARSE_STEP_S * FINE as f64).round() as usize;
    let span = |from: usize, to: usize| {
        let to = to.min(levels.len());
        levels.get(from.min(to)..to).unwrap_or(&[])
    };
    let most = |levels: &[f64]| levels.iter().copied().fold(-150.0, f64::max);
    let reach = steps(DIP_REACH_S);
    let low = span(i.saturating_sub(1), i + 2)
        .iter()
        .copied()
        .fold(0.0, f64::min);
    let beside = most(span(i.saturating_sub(reach), i)).min(most(span(i + 1, i + 1 + reach)));
    let before = span(i.saturating_sub(steps(BEFORE_S)), i.saturating_sub(1));
    let mut after = span(i + steps(AFTER_S.0), i + steps(AFTER_S.1)).to_vec();
    let rise = median(&mut after)
        .filter(|_| before.len() + 1 == steps(BEFORE_S))
        .map_or(0.0, |after| after - most(before));
    Swing {
        dip_db: (beside - low).max(0.0),
        rise_db: rise.max(0.0),
        top: false,
    }
}

/// Marks each rise that none within reach exceeds, the first of equals.
fn mark_tops(swings: &mut [Swing]) {
    let reach = (TOP_REACH_S / t::COARSE_STEP_S) as usize;
    let rises: Vec<f64> = swings.iter().map(|s| s.rise_db).collect();
    for (i, swing) in swings.iter_mut().enumerate() {
        let before = rises.get(i.saturating_sub(reach)..i).unwrap_or(&[]);
        let after = rises
            .get(i..(i + reach + 1).min(rises.len()))
            .unwrap_or(&[]);
        swing.top =
            before.iter().all(|r| *r < swing.rise_db) && after.iter().all(|r| *r <= swing.rise_db);
    }
}
