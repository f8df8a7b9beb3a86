//! Progress: where a skill stands and whether it has changed, with its uncertainty.
//!
//! Each skill in each register zone is a local-level model (a random walk seen through noise:
//! Harvey 1989, *Forecasting, Structural Time Series Models and the Kalman Filter*, section 4.1).
//! The walk's variance a day and the scatter between takes are chosen by maximum likelihood on a
//! small grid. A change is called one only when it exceeds 1.96 of its own standard deviations.
//!
//! A point of a series is a day, not a take: takes of one day share the form of that day, and
//! twenty of them on a good one are no proof of twenty. A long history is drawn in spans of days.

use serde::{Deserialize, Serialize};

/// One figure of one take: what a skill measured in a zone of the register.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// Skill, one of [`SKILLS`].
    pub skill: String,
    /// Zone of the register, one of [`ZONES`].
    pub zone: String,
    /// The figure, in the skill's unit.
    pub value: f64,
    /// Its standard uncertainty, same unit.
    pub sigma: f64,
}

/// Which way a figure should go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Better {
    /// Smaller is better.
    Lower,
    /// Larger is better.
    Higher,
    /// Neither is better: it is told for itself.
    None,
}

/// A skill that takes are measured for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skill {
    /// Identifier.
    pub id: &'static str,
    /// Unit of its figures.
    pub unit: &'static str,
    /// Which way is better.
    pub better: Better,
    /// Whether it is measured for each zone of the register too; else for all together alone.
    pub by_register: bool,
}

/// The zones of the register, and all of them together.
pub const ZONES: [&str; 5] = ["all", "pedal", "low", "middle", "high"];

/// The skills, each with its unit and its good direction.
pub const SKILLS: [Skill; 9] = [
    skill("centring", "cents", Better::Lower),
    skill("steadiness", "cents", Better::Lower),
    skill("starts", "ms", Better::Lower),
    skill("chips", "share of notes", Better::Lower),
    skill("slurs", "ms", Better::Lower),
    skill("caught", "share of slurs", Better::Lower),
    // Evenness belongs to a line, which goes through the register.
    Skill {
        by_register: false,
        ..skill("evenness", "dB", Better::Lower)
    },
    skill("tone", "ratio", Better::None),
    skill("loudness", "dB", Better::None),
];

const fn skill(id: &'static str, unit: &'static str, better: Better) -> Skill {
    Skill {
        id,
        unit,
        better,
        by_register: true,
    }
}

/// The figure of a day, or of a span of days in a long history.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Point {
    /// When its takes began on the average, Unix milliseconds.
    pub at_ms: i64,
    /// The mean of their figures.
    pub value: f64,
    /// Its standard uncertainty.
    pub sigma: f64,
    /// How many takes.
    pub takes: u32,
}

/// What the evidence says of a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Judgement {
    /// It got better.
    Better,
    /// It got worse.
    Worse,
    /// It moved, and neither way is better.
    Changed,
    /// What moved is within the noise.
    NoClearChange,
    /// Played on fewer than five days: too few to say.
    TooFew,
}

/// A skill in a zone over time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Series {
    /// Skill.
    pub skill: String,
    /// Zone of the register.
    pub zone: String,
    /// Unit of the figures.
    pub unit: String,
    /// Which way is better.
    pub better: Better,
    /// Whether the zones of the register can be asked for.
    pub by_register: bool,
    /// The figures, oldest first.
    pub points: Vec<Point>,
    /// Where it stands now.
    pub level: f64,
    /// Standard deviation of that.
    pub level_sd: f64,
    /// From the first point to now.
    pub change: f64,
    /// Standard deviation of that.
    pub change_sd: f64,
    /// What the evidence says.
    pub verdict: Judgement,
}

/// Fewest days that a change is judged from.
const FEWEST: usize = 5;
/// Two-sided 95 % of a normal distribution.
const CLEAR: f64 = 1.96;
/// A day, milliseconds.
pub(crate) const DAY_MS: i64 = 86_400_000;

/// Makes a series of the points of one skill and zone (in any order); `None` when there are none.
#[must_use]
pub fn series(skill: &Skill, zone: &str, mut points: Vec<Point>) -> Option<Series> {
    points.sort_by_key(|point| point.at_ms);
    let state = estimate(&points)?;
    let clear = state.change.abs() > CLEAR * state.change_sd;
    let verdict = match (points.len() < FEWEST, clear, skill.better) {
        (true, ..) => Judgement::TooFew,
        (_, false, _) => Judgement::NoClearChange,
        (.., Better::None) => Judgement::Changed,
        (.., Better::Lower) if state.change < 0.0 => Judgement::Better,
        (.., Better::Higher) if state.change > 0.0 => Judgement::Better,
        _ => Judgement::Worse,
    };
    Some(Series {
        skill: skill.id.into(),
        zone: zone.into(),
        unit: skill.unit.into(),
        better: skill.better,
        by_register: skill.by_register,
        points,
        level: state.level,
        level_sd: state.level_sd,
        change: state.change,
        change_sd: state.change_sd,
        verdict,
    })
}

/// Where a random walk stands after the last point, and how far it came since the first.
#[derive(Clone, Copy, Debug, PartialEq)]
struct State {
    level: f64,
    level_sd: f64,
    change: f64,
    change_sd: f64,
    log_likelihood: f64,
}

fn estimate(points: &[Point]) -> Option<State> {
    let mean = points.iter().map(|p| p.value).sum::<f64>() / points.len().max(1) as f64;
    let spread = points.iter().map(|p| (p.value - mean).powi(2)).sum::<f64>()
        / (points.len().max(2) - 1) as f64;
    // Shares of the figures' own spread: the scatter between takes and the walk a day.
    const SCATTER: [f64; 5] = [0.0, 0.1, 0.3, 0.6, 1.0];
    const WALK: [f64; 7] = [1e-5, 1e-4, 1e-3, 3e-3, 1e-2, 3e-2, 1e-1];
    let mut best: Option<State> = None;
    for scatter in SCATTER {
        for walk in WALK {
            let state = filter(points, scatter * spread, walk * spread)?;
            if best.is_none_or(|best| state.log_likelihood > best.log_likelihood) {
                best = Some(state);
            }
        }
    }
    best
}

/// Kalman filter of the pair (level now, level at the first point), begun from the first point.
fn filter(points: &[Point], scatter: f64, walk: f64) -> Option<State> {
    let noise = |point: &Point| point.sigma.powi(2) + scatter + f64::MIN_POSITIVE;
    let (first, rest) = points.split_first()?;
    let (mut now, mut then) = (first.value, first.value);
    let (mut p_now, mut p_both, mut p_then) = (noise(first), noise(first), noise(first));
    let (mut at_ms, mut log_likelihood) = (first.at_ms, 0.0);
    for point in rest {
        p_now += walk * ((point.at_ms - at_ms) as f64 / DAY_MS as f64).max(0.0);
        at_ms = point.at_ms;
        let variance = p_now + noise(point);
        let surprise = point.value - now;
        log_likelihood -= 0.5 * (variance.ln() + surprise * surprise / variance);
        let (gain_now, gain_then) = (p_now / variance, p_both / variance);
        now += gain_now * surprise;
        then += gain_then * surprise;
        p_then -= gain_then * p_both;
        p_both -= gain_now * p_both;
        p_now -= gain_now * p_now;
    }
    Some(State {
        level: now,
        level_sd: p_now.max(0.0).sqrt(),
        change: now - then,
        change_sd: (p_now - 2.0 * p_both + p_then).max(0.0).sqrt(),
        log_likelihood,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A seeded stream of standard normal numbers (Box-Muller on a 64-bit LCG, Knuth's constants).
    fn normals(mut seed: u64) -> impl Iterator<Item = f64> {
        let mut uniform = move || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        };
        std::iter::repeat_with(move || {
            (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()
        })
    }

    fn takes(count: usize, slope: f64, seed: u64) -> Vec<Point> {
        (0..count)
            .zip(normals(seed))
            .map(|(i, noise)| Point {
                at_ms: i as i64 * 86_400_000,
                value: 10.0 + slope * i as f64 + 2.0 * noise,
                sigma: 0.5,
                takes: 1,
            })
            .collect()
    }

    fn trends(slope: f64) -> Vec<Judgement> {
        (0..200)
            .filter_map(|seed| series(&SKILLS[0], "all", takes(40, slope, seed)))
            .map(|series| series.verdict)
            .collect()
    }

    #[test]
    fn no_change_is_seldom_called_one_and_a_true_one_mostly_is() {
        let share = |slope: f64, verdict: Judgement| {
            let all = trends(slope);
            all.iter().filter(|&&t| t == verdict).count() as f64 / all.len() as f64
        };
        // 5 % false either way is the claim; what is seen may scatter by its own 2 sigma (3 %).
        assert!(share(0.0, Judgement::NoClearChange) > 0.92);
        assert!(share(-0.15, Judgement::Better) > 0.9);
        assert!(share(0.15, Judgement::Worse) > 0.9);
    }

    #[test]
    fn one_point_is_its_own_level_and_none_is_nothing() {
        let one = series(&SKILLS[0], "low", takes(1, 0.0, 3)).unwrap();
        assert_eq!((one.verdict, one.change), (Judgement::TooFew, 0.0));
        assert!((one.level - one.points[0].value).abs() < 1e-12);
        assert!((one.level_sd - 0.5).abs() < 1e-9);
        assert!(series(&SKILLS[0], "low", Vec::new()).is_none());
    }

    /// With no walk and no scatter the filter is the weighted mean (Gauss-Markov).
    #[test]
    fn without_walk_the_level_is_the_weighted_mean() {
        let points = takes(9, 0.0, 8);
        let state = filter(&points, 0.0, 0.0).unwrap();
        let mean = points.iter().map(|p| p.value).sum::<f64>() / 9.0;
        assert!((state.level - mean).abs() < 1e-9);
        assert!((state.level_sd - 0.5 / 3.0).abs() < 1e-9);
        assert!(state.change.abs() < 1e-9);
    }
}
