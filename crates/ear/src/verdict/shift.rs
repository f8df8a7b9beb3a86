//! Whether one interval would turn what was heard into what was asked for.

use super::VerdictKind;
use crate::measure::stats;
use crate::{Expected, Heard};

/// Intervals tried: two octaves and a bit either way, in steps of half a semitone's half.
const REACH_CENTS: i32 = 2_550;
const STEP_CENTS: i32 = 25;
/// A heard note is an asked one, moved, when it lies within this, cents.
const SAME_CENTS: f64 = 40.0;
/// An interval within this of a whole number of semitones is a transposition, cents. A player
/// may be this far off the pitch standard.
const SEMITONE_CENTS: f64 = 30.0;
/// A rate ratio must be met this closely, cents: a player is rarely further off.
const RATIO_CENTS: f64 = 18.0;
/// Ratios of rates that are mistaken for each other.
const RATES: [(u32, u32); 4] = [
    (48_000, 44_100),
    (44_100, 32_000),
    (48_000, 32_000),
    (16_000, 11_025),
];
/// Most notes compared; enough to tell.
const MOST: usize = 150;

/// An interval that explains a take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shift {
    /// How far the take lies above what was asked, cents.
    pub(super) cents: f64,
    /// Share of the heard notes that it explains.
    pub(super) share: f64,
    /// Share of them that no interval, only a common tuning within a quarter tone, explains.
    pub(super) straight: f64,
    /// How sure it is that this interval, and not what was asked for as it stands, was played: the
    /// odds as a share.
    pub(super) sure: f64,
}

/// Share of the notes that the right explanation accounts for, and a wrong one by chance (lines a
/// fifth apart have 60 % of their pitches in common; two of three notes of those stand in order).
const RIGHT_FITS: f64 = 0.9;
const CHANCE_FITS: f64 = 0.4;

/// Odds, as a share, of one explanation against another from the notes that only it explains.
fn sure(explained: usize, straight: usize) -> f64 {
    let each = (RIGHT_FITS / (1.0 - RIGHT_FITS)).ln() - (CHANCE_FITS / (1.0 - CHANCE_FITS)).ln();
    let more = explained as f64 - straight as f64;
    1.0 / (1.0 + (-each * more).exp())
}

/// What a whole number of semitones is when the same part is read on an instrument in another key.
fn reading(semitones: i32) -> &'static str {
    match semitones.rem_euclid(12) {
        2 => " (as a part for B-flat played on an instrument in C)",
        10 => " (as a part in C played on an instrument in B-flat)",
        3 => " (as a part in C played on an instrument in E-flat)",
        9 => " (as a part for E-flat played on an instrument in C)",
        5 => " (as a part for B-flat played on an instrument in E-flat, or one in C on one in F)",
        7 => {
            " (as a part for E-flat played on an instrument in B-flat, or one for B-flat on one \
              in F)"
        }
        _ => "",
    }
}

/// Finds the interval that explains most of the heard notes, in order.
pub(super) fn explain(free: &Heard, expected: &Expected) -> Option<Shift> {
    let cents = |hz: f64| 1200.0 * hz.log2();
    let heard: Vec<f64> = free
        .notes
        .iter()
        .filter(|n| n.hz > 0.0)
        .map(|n| cents(n.hz))
        .take(MOST)
        .collect();
    let lines: Vec<Vec<f64>> = expected
        .lines
        .iter()
        .map(|line| line.notes.iter().map(|n| cents(n.hz)).collect())
        .collect();
    let asked: Vec<f64> = lines.into_iter().flatten().take(4 * MOST).collect();
    if heard.is_empty() || asked.is_empty() {
        return None;
    }
    let steps = REACH_CENTS / STEP_CENTS;
    let (shift, pairs) = (-steps..=steps)
        .map(|i| f64::from(i * STEP_CENTS))
        .map(|shift| (shift, common(&heard, &asked, shift)))
        // Of equals, the smallest interval.
        .max_by(|a, b| (a.1.len().cmp(&b.1.len())).then(b.0.abs().total_cmp(&a.0.abs())))?;
    let straight = [-50.0, -25.0, 0.0, 25.0, 50.0]
        .iter()
        .map(|shift| common(&heard, &asked, *shift).len())
        .max()
        .unwrap_or(0);
    let rest: Vec<f64> = pairs.iter().map(|(h, a)| h - a).collect();
    Some(Shift {
        cents: stats::median(&rest).unwrap_or(shift),
        share: pairs.len() as f64 / heard.len() as f64,
        straight: straight as f64 / heard.len() as f64,
        sure: sure(pairs.len(), straight),
    })
}

/// Longest common subsequence of heard and asked notes under a shift.
fn common(heard: &[f64], asked: &[f64], shift: f64) -> Vec<(f64, f64)> {
    let width = asked.len() + 1;
    let mut table = vec![0_u32; (heard.len() + 1) * width];
    let cell = |table: &[u32], i: usize, j: usize| table.get(i * width + j).copied().unwrap_or(0);
    let same = |h: f64, a: f64| (h - a - shift).abs() < SAME_CENTS;
    for (i, h) in heard.iter().enumerate() {
        for (j, a) in asked.iter().enumerate() {
            let best = if same(*h, *a) {
                cell(&table, i, j) + 1
            } else {
                cell(&table, i, j + 1).max(cell(&table, i + 1, j))
            };
            if let Some(slot) = table.get_mut((i + 1) * width + j + 1) {
                *slot = best;
            }
        }
    }
    let (mut i, mut j) = (heard.len(), asked.len());
    let mut pairs = Vec::new();
    while i > 0 && j > 0 {
        let (Some(h), Some(a)) = (heard.get(i - 1), asked.get(j - 1)) else {
            break;
        };
        if same(*h, *a) {
            pairs.push((*h, *a));
            (i, j) = (i - 1, j - 1);
        } else if cell(&table, i - 1, j) >= cell(&table, i, j - 1) {
            i -= 1;
        } else {
            j -= 1;
        }
    }
    pairs
}

impl Shift {
    /// What the interval means.
    pub(super) fn verdict(&self) -> (VerdictKind, String) {
        let semitones = (self.cents / 100.0).round();
        let off = (self.cents - 100.0 * semitones).abs();
        let ratio = RATES.iter().find(|(a, b)| {
            let cents = 1200.0 * (f64::from(*a) / f64::from(*b)).log2();
            (self.cents.abs() - cents).abs() < RATIO_CENTS && off > SEMITONE_CENTS
        });
        let way = if self.cents > 0.0 { "higher" } else { "lower" };
        if let Some((a, b)) = ratio {
            let words = format!(
                "All notes sound {:.0} cents {way} than asked, the ratio of {a} to {b} samples a \
                 second: the file was made at one rate and says the other. Record again, or give \
                 the true rate.",
                self.cents.abs()
            );
            return (VerdictKind::RateLie, words);
        }
        if semitones != 0.0 && semitones % 12.0 == 0.0 {
            let octaves = (semitones / 12.0).abs();
            let words = format!(
                "Everything sounds {octaves:.0} octave{} {way} than asked: choose the instrument \
                 or the reading that was played.",
                if octaves > 1.0 { "s" } else { "" }
            );
            return (VerdictKind::OctaveOff, words);
        }
        if semitones == 0.0 {
            let words = format!(
                "These are the notes asked for, {:.0} cents {way} and in another order or with \
                 much left out.",
                self.cents.abs()
            );
            return (VerdictKind::OtherExercise, words);
        }
        let words = format!(
            "Everything sounds {:.0} semitone{} {way} than asked{}: another transposition was \
             read, or another instrument played. Choose the instrument and the reading that were \
             used.",
            semitones.abs(),
            if semitones.abs() > 1.0 { "s" } else { "" },
            reading(semitones as i32)
        );
        (VerdictKind::Moved, words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_are_named_for_what_they_mean() {
        let kind = |cents: f64| {
            Shift {
                cents,
                share: 1.0,
                straight: 0.0,
                sure: 1.0,
            }
            .verdict()
            .0
        };
        assert_eq!(kind(-200.0), VerdictKind::Moved);
        assert_eq!(kind(1203.0), VerdictKind::OctaveOff);
        assert_eq!(kind(-1190.0), VerdictKind::OctaveOff);
        assert_eq!(kind(146.7), VerdictKind::RateLie);
        assert_eq!(kind(-146.7), VerdictKind::RateLie);
        assert_eq!(kind(110.0), VerdictKind::Moved);
    }

    #[test]
    fn a_few_notes_leave_doubt_and_many_do_not() {
        assert!(sure(3, 3) < 0.51);
        assert!(sure(5, 4) < 0.95);
        assert!(sure(12, 7) > 0.999);
    }
}
