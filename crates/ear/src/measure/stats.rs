//! Small statistics that several measures share.

/// The middle value; `None` of nothing.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    let mut finite: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    middle(&mut finite)
}

/// The middle of some values, which are put in another order; `None` of nothing.
pub(crate) fn middle(values: &mut [f64]) -> Option<f64> {
    let even = values.len().is_multiple_of(2);
    if values.is_empty() {
        return None;
    }
    let (below, upper, _) = values.select_nth_unstable_by(values.len() / 2, f64::total_cmp);
    let lower = below.iter().copied().max_by(f64::total_cmp);
    Some(
        lower
            .filter(|_| even)
            .map_or(*upper, |lower| f64::midpoint(lower, *upper)),
    )
}

/// The mean; `None` of nothing.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The standard deviation of a sample about its mean; `None` of fewer than two.
#[must_use]
pub fn deviation(values: &[f64]) -> Option<f64> {
    let centre = mean(values)?;
    let squares: f64 = values.iter().map(|v| (v - centre).powi(2)).sum();
    (values.len() > 1).then(|| (squares / (values.len() - 1) as f64).sqrt())
}

/// The median distance from the median, scaled to the standard deviation of a normal spread.
#[must_use]
pub fn robust_deviation(values: &[f64]) -> Option<f64> {
    let centre = median(values)?;
    let distances: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    median(&distances).map(|m| 1.4826 * m)
}

/// Theil's line through points: slope and value at x = 0 (Theil 1950, Sen 1968). `None` unless
/// two points differ in x.
#[must_use]
pub fn trend(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let mut slopes = Vec::new();
    for (i, a) in points.iter().enumerate() {
        for b in points.iter().skip(i + 1) {
            if (b.0 - a.0).abs() > 1e-9 {
                slopes.push((b.1 - a.1) / (b.0 - a.0));
            }
        }
    }
    let slope = median(&slopes)?;
    let rests: Vec<f64> = points.iter().map(|(x, y)| y - slope * x).collect();
    Some((slope, median(&rests)?))
}

/// The standard uncertainty of a standard deviation taken with `freedom` degrees of freedom.
///
/// For normal values `s^2` is distributed as chi-squared; to first order the relative
/// uncertainty of `s` is `1 / sqrt(2 freedom)` (GUM, JCGM 100:2008, E.4.3).
#[must_use]
pub fn deviation_uncertainty(deviation: f64, freedom: f64) -> f64 {
    deviation / (2.0 * freedom.max(0.5)).sqrt()
}

/// How many standard deviations hold 95 % of Student's t: Fisher's series about the normal value
/// (Abramowitz & Stegun 1964, 26.7.5), right to 1 % from three degrees of freedom up.
#[must_use]
pub fn student(freedom: f64) -> f64 {
    let (z, v) = (1.96_f64, freedom.max(3.0));
    let (z3, z5, z7) = (z.powi(3), z.powi(5), z.powi(7));
    z + (z3 + z) / (4.0 * v)
        + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * v * v)
        + (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * v.powi(3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trend_shrugs_off_an_outlier() {
        let mut points: Vec<(f64, f64)> = (0..9)
            .map(|i| (f64::from(i), 2.0 * f64::from(i) + 1.0))
            .collect();
        points[4].1 = 100.0;
        let (slope, at_zero) = trend(&points).unwrap();
        assert!((slope - 2.0).abs() < 1e-9 && (at_zero - 1.0).abs() < 1e-9);
    }

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, column 0.975.
    #[test]
    fn students_quantiles_are_the_tables() {
        for (freedom, printed) in [(3.0, 3.182), (5.0, 2.571), (10.0, 2.228), (30.0, 2.042)] {
            assert!((student(freedom) / printed - 1.0).abs() < 0.01, "{freedom}");
        }
    }

    #[test]
    fn a_median_of_an_even_count_lies_between() {
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(median(&[]), None);
    }
}
