//! How far a take lies above what is asked, by register.

use crate::analysis::Analysis;
use crate::decode::Model;
use crate::expected::Expected;
use crate::free;
use crate::thresholds as t;

/// Tunings that are tried lie so far apart, in grid steps: 3 cents.
const STEP: f64 = 0.1;

/// How far a take lies above what is asked.
///
/// The nearest expected pitch says it of one moment only as long as the player is nearer to that than
/// to the one beside it: in a chromatic line a moment 55 cents flat looks 45 cents sharp. So tunings
/// are tried, and the one with which the moments lie nearest to expected pitches is taken.
pub(super) struct Tuning {
    /// Sounding moments of the free path, as sorted places.
    places: Vec<f64>,
    /// Expected pitches as places, sorted.
    asked: Vec<f64>,
    /// For each tuning tried, what the moments before each one cost under it, summed.
    costs: Vec<Vec<f64>>,
    whole: f64,
}

/// The tunings that are tried, by their index.
fn tried() -> impl Iterator<Item = f64> {
    let most = (t::DETUNE_MOST_STEPS / STEP).round() as i32;
    (-most..=most).map(|k| f64::from(k) * STEP)
}

/// Distance from the nearest of sorted pitches, in grid steps.
fn nearest(asked: &[f64], place: f64) -> f64 {
    let next = asked.partition_point(|p| *p < place);
    let beside = [
        next.checked_sub(1).and_then(|i| asked.get(i)),
        asked.get(next),
    ];
    let away = beside.into_iter().flatten().map(|p| place - p);
    away.min_by(|a, b| a.abs().total_cmp(&b.abs()))
        .unwrap_or(f64::MAX)
}

impl Tuning {
    pub(super) fn new(analysis: &Analysis, expected: &Expected, path: &[Option<f64>]) -> Self {
        let asked = Model::new(expected, analysis.grid, |_| 0.0).pitches;
        let places = path.iter().flatten().map(|hz| analysis.grid.place(*hz));
        Self::of(places.collect(), asked)
    }

    fn of(mut places: Vec<f64>, mut asked: Vec<f64>) -> Self {
        asked.sort_by(f64::total_cmp);
        places.retain(|place| nearest(&asked, *place).abs() < t::DETUNE_MOST_STEPS);
        places.sort_by(f64::total_cmp);
        let costs = tried().map(|tuning| {
            let mut sum = 0.0;
            let costs = places.iter().map(|place| {
                let away = nearest(&asked, place - tuning).abs();
                sum += away.min(t::DETUNE_MOST_STEPS);
                sum
            });
            std::iter::once(0.0).chain(costs).collect()
        });
        let costs = costs.collect();
        let mut tuning = Self {
            places,
            asked,
            costs,
            whole: 0.0,
        };
        tuning.whole = tuning.best(0, tuning.places.len(), 0.0).unwrap_or(0.0);
        tuning
    }

    /// Around a place, in grid steps: from what sounds within half an octave of it, or of the whole
    /// take where that is too little. A player may be sharp in one register and flat in another.
    pub(super) fn at(&self, place: f64) -> f64 {
        let first = |end: f64| self.places.partition_point(|at| *at < end);
        let (from, to) = (
            first(place - t::REGISTER_STEPS),
            first(place + t::REGISTER_STEPS),
        );
        if ((to - from) as f64) * t::COARSE_STEP_S < t::REGISTER_LEAST_S {
            return self.whole;
        }
        self.best(from, to, self.whole).unwrap_or(self.whole)
    }

    /// The best tuning of some moments; of two that do as well the one nearer to `usual`.
    fn best(&self, from: usize, to: usize, usual: f64) -> Option<f64> {
        let count = to.checked_sub(from).filter(|count| *count > 0)? as f64;
        let cost = |sums: &Vec<f64>| Some(sums.get(to)? - sums.get(from)?);
        let (_, best) = tried()
            .zip(&self.costs)
            .filter_map(|(tuning, sums)| {
                let away = t::TUNING_USUAL * count * (tuning - usual).abs();
                Some((cost(sums)? + away, tuning))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        let moments = self.places.get(from..to).unwrap_or(&[]);
        let mut away: Vec<f64> = moments
            .iter()
            .map(|place| nearest(&self.asked, place - best))
            .filter(|away| away.abs() < t::DETUNE_MOST_STEPS)
            .collect();
        Some(best + free::median(&mut away).unwrap_or(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments of `seconds` on each of the places, all off by `away`.
    fn played(on: &[f64], seconds: f64, away: f64) -> Vec<f64> {
        let count = (seconds / t::COARSE_STEP_S) as usize;
        on.iter()
            .flat_map(|place| vec![place + away; count])
            .collect()
    }

    #[test]
    fn a_take_is_tuned_by_register_where_enough_of_it_sounds() {
        let mut places = played(&[20.0], 3.0, -1.4);
        places.extend(played(&[60.0], 5.0, 0.1));
        places.extend(played(&[90.0], 0.5, 2.0));
        let tuning = Tuning::of(places, vec![20.0, 60.0, 90.0]);
        let near = |place: f64, asked: f64| (tuning.at(place) - asked).abs() < 0.01;
        assert!(near(24.0, -1.4) && near(58.0, 0.1));
        // Half a second says too little.
        assert!(near(95.0, 0.1));
    }

    #[test]
    fn a_chromatic_line_played_flat_is_flat_though_some_notes_are_nearer_to_the_one_below() {
        let asked: Vec<f64> = (0..12).map(|k| 90.0 + 3.0 * f64::from(k)).collect();
        let off = [
            -1.3, -1.4, -2.2, -1.3, -0.9, -1.2, -1.7, 0.2, -1.2, -1.4, -1.6, -1.0,
        ];
        let places = asked.iter().zip(off);
        let places = places.flat_map(|(place, off)| played(&[*place], 1.0, off));
        let tuning = Tuning::of(places.collect(), asked.clone());
        let found = tuning.at(105.0);
        assert!((-1.5..-1.1).contains(&found), "{found}");
    }
}
