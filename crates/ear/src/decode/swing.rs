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
        .map(|frame| Swing {
            dip_db: dip(&levels, frame * FINE),
            ..Swing::default()
        })
        .collect();
    if analysis.echo_held {
        for (frame, swing) in swings.iter_mut().enumerate() {
            swing.rise_db = rise(&levels, frame * FINE);
        }
        mark_tops(&mut swings);
    }
    swings
}

fn steps(seconds: f64) -> usize {
    (seconds / t::COARSE_STEP_S * FINE as f64).round() as usize
}

fn span(levels: &[f64], from: usize, to: usize) -> &[f64] {
    let to = to.min(levels.len());
    levels.get(from.min(to)..to).unwrap_or(&[])
}

fn most(levels: &[f64]) -> f64 {
    levels.iter().copied().fold(-150.0, f64::max)
}

fn dip(levels: &[f64], i: usize) -> f64 {
    let here = span(levels, i.saturating_sub(1), i + 2);
    let low = here.iter().copied().fold(0.0, f64::min);
    let before = most(span(levels, i.saturating_sub(steps(DIP_REACH_S)), i));
    let after = most(span(levels, i + 1, i + 1 + steps(DIP_REACH_S)));
    (before.min(after) - low).max(0.0)
}

fn rise(levels: &[f64], i: usize) -> f64 {
    let Some(from) = i.checked_sub(steps(BEFORE_S)) else {
        return 0.0;
    };
    let before = span(levels, from, i.saturating_sub(1));
    let mut after = span(levels, i + steps(AFTER_S.0), i + steps(AFTER_S.1)).to_vec();
    median(&mut after).map_or(0.0, |after| (after - most(before)).max(0.0))
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Levels of a note that ends at step 100, dies by so many dB a step and is played again at 160.
    fn again(dies: f64) -> Vec<f64> {
        let level = |i: usize| match i {
            0..100 => -10.0,
            100..160 => -10.0 - dies * (i - 100) as f64,
            _ => -9.0,
        };
        (0..260).map(level).collect()
    }

    #[test]
    fn a_note_played_into_its_own_echo_rises_and_one_that_dies_does_not() {
        let levels = again(0.25);
        let rises: Vec<f64> = (0..levels.len()).map(|i| rise(&levels, i)).collect();
        // Above all of the 70 ms before: 15 dB less what the echo lost within them.
        assert!((most(&rises) - 12.75).abs() < 0.6, "{}", most(&rises));
        assert!(rises[..140].iter().all(|rise| *rise == 0.0));
    }

    #[test]
    fn neither_a_click_nor_a_narrow_beat_is_a_rise() {
        let mut levels = vec![-20.0; 200];
        levels[100] = 0.0;
        levels[150] = -60.0;
        assert!((0..200).all(|i| rise(&levels, i) == 0.0));
        assert!(dip(&levels, 150) >= 40.0);
    }
}
