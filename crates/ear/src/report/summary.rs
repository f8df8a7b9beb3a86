//! Many measures as one: their mean and spread, or what is typical of them.

use crate::measure::stats;
use crate::measured::{Measure, WhyNot};

/// Mean of measures and spread about it, each with its uncertainty.
pub(super) fn centre(measures: &[Measure]) -> (Measure, Measure) {
    let values: Vec<f64> = measures.iter().filter_map(|m| m.value()).collect();
    let few = Measure::unknown(WhyNot::TooFew);
    let (Some(mean), Some(spread)) = (stats::mean(&values), stats::deviation(&values)) else {
        return match measures.iter().find(|m| m.value().is_some()) {
            Some(only) => (*only, few),
            None => (few, few),
        };
    };
    let count = values.len() as f64;
    let own = measures
        .iter()
        .filter_map(|m| m.uncertainty())
        .map(|u| u * u)
        .sum::<f64>();
    let mean_uncertainty = (spread / count.sqrt()).hypot(own.sqrt() / count);
    (
        Measure::known(mean, mean_uncertainty),
        Measure::known(spread, stats::deviation_uncertainty(spread, count - 1.0)),
    )
}

/// The typical value of measures: their median, with the uncertainty of a median.
pub(super) fn typical(measures: impl Iterator<Item = Measure>) -> Measure {
    /// With fewer values a distance from the median says little of how they scatter: two that
    /// agree and one that does not would claim no scatter at all.
    const FEW: usize = 6;
    let (values, own): (Vec<f64>, Vec<f64>) = measures
        .filter_map(|m| Some((m.value()?, m.uncertainty()?)))
        .unzip();
    let Some(value) = stats::median(&values).filter(|_| values.len() >= 3) else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let spread = if values.len() < FEW {
        stats::deviation(&values)
    } else {
        stats::robust_deviation(&values)
    };
    // The values scatter no less than each is unsure by itself.
    let spread = spread
        .unwrap_or(0.0)
        .max(stats::median(&own).unwrap_or(0.0));
    // A median of normal values is 1.253 times as uncertain as their mean.
    Measure::known(value, 1.253 * spread / (values.len() as f64).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_agree_by_chance_are_no_surer_than_each_by_itself() {
        let of = |values: &[f64]| typical(values.iter().map(|&v| Measure::known(v, 4.0)));
        let close = of(&[38.0; 7]);
        assert_eq!(close.value(), Some(38.0));
        assert!((close.uncertainty().unwrap() - 1.253 * 4.0 / 7.0_f64.sqrt()).abs() < 1e-9);
        assert!(of(&[38.0, 38.0, 5.0]).uncertainty().unwrap() > 10.0);
        assert_eq!(of(&[38.0, 38.0]).value(), None);
    }
}
