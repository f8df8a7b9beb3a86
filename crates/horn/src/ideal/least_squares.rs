//! Least squares for a few smooth unknowns: Levenberg-Marquardt with differences for slopes.

/// Steps at most; the valve problem settles in five.
const MOST_STEPS: usize = 100;
/// Half the width over which a slope is taken; unknowns here are of the order of 0.01 to 10.
const SLOPE_STEP: f64 = 1e-6;
/// Stop when a step gains less than this share of the sum of squares.
const ENOUGH: f64 = 1e-14;

/// The unknowns that make the sum of squared residuals least, from a start.
///
/// Directions that the residuals do not feel stay where they started.
pub(super) fn minimise(start: &[f64], residuals: impl Fn(&[f64]) -> Vec<f64>) -> Vec<f64> {
    let mut at = start.to_vec();
    let mut now = residuals(&at);
    let mut damping = 1e-6;
    for _ in 0..MOST_STEPS {
        let slopes = slopes(&at, &residuals);
        let before = sum_of_squares(&now);
        let gradient: Vec<f64> = slopes.iter().map(|slope| dot(slope, &now)).collect();
        let normal: Vec<Vec<f64>> = slopes
            .iter()
            .map(|a| slopes.iter().map(|b| dot(a, b)).collect())
            .collect();
        let step = solve(&normal, &gradient, damping);
        let next: Vec<f64> = at.iter().zip(&step).map(|(x, d)| x - d).collect();
        let there = residuals(&next);
        let after = sum_of_squares(&there);
        if after.is_finite() && after <= before {
            at = next;
            now = there;
            damping = (damping * 0.1).max(1e-12);
            if before - after <= ENOUGH * before {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e12 {
                break;
            }
        }
    }
    at
}

/// One column of slopes per unknown.
fn slopes(at: &[f64], residuals: &impl Fn(&[f64]) -> Vec<f64>) -> Vec<Vec<f64>> {
    let moved = |index: usize, by: f64| {
        let mut there = at.to_vec();
        if let Some(x) = there.get_mut(index) {
            *x += by;
        }
        residuals(&there)
    };
    (0..at.len())
        .map(|index| {
            let up = moved(index, SLOPE_STEP);
            let down = moved(index, -SLOPE_STEP);
            up.iter()
                .zip(&down)
                .map(|(u, d)| (u - d) / (2.0 * SLOPE_STEP))
                .collect()
        })
        .collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn sum_of_squares(values: &[f64]) -> f64 {
    dot(values, values)
}

/// Solves `(N + damping * diag(N)) x = g` for a symmetric, non-negative N by Cholesky's method;
/// a direction with no weight gets no step. Every index runs within the size of `gradient`.
fn solve(normal: &[Vec<f64>], gradient: &[f64], damping: f64) -> Vec<f64> {
    let size = gradient.len();
    let entry = |row: usize, column: usize| -> f64 {
        let value = normal.get(row).and_then(|r| r.get(column)).copied();
        let value = value.unwrap_or(0.0);
        if row == column {
            value * (1.0 + damping)
        } else {
            value
        }
    };
    let largest = (0..size).map(|i| entry(i, i)).fold(0.0, f64::max);
    let mut lower = vec![vec![0.0_f64; size]; size];
    let mut forward = vec![0.0_f64; size];
    for row in 0..size {
        let mut rest = entry(row, row);
        for column in 0..row {
            let sum = dot(&lower[row][..column], &lower[column][..column]);
            let pivot = lower[column][column];
            let value = if pivot > 0.0 {
                (entry(row, column) - sum) / pivot
            } else {
                0.0
            };
            lower[row][column] = value;
            rest -= value * value;
        }
        let known = dot(&lower[row][..row], &forward[..row]);
        if rest > largest * 1e-13 {
            lower[row][row] = rest.sqrt();
            forward[row] = (gradient[row] - known) / lower[row][row];
        }
    }
    let mut x = vec![0.0_f64; size];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size)
            .map(|below| lower[below][row] * x[below])
            .sum();
        let pivot = lower[row][row];
        if pivot > 0.0 {
            x[row] = (forward[row] - known) / pivot;
        }
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_points() {
        // y = 2 + 3 x, with noise that cancels.
        let points = [(0.0, 2.1), (1.0, 4.9), (2.0, 7.9), (3.0, 11.1)];
        let found = minimise(&[0.0, 0.0], |p| {
            points.iter().map(|(x, y)| p[0] + p[1] * x - y).collect()
        });
        assert!(
            (found[0] - 2.0).abs() < 1e-9 && (found[1] - 3.0).abs() < 1e-9,
            "{found:?}"
        );
    }

    #[test]
    fn an_unknown_that_changes_nothing_stays() {
        let found = minimise(&[1.0, 7.0], |p| vec![p[0] - 4.0]);
        assert!((found[0] - 4.0).abs() < 1e-9);
        assert_eq!(found[1], 7.0);
    }
}
