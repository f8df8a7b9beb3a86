//! Small linear least squares by the normal equations and Cholesky's factor.

/// Minimises `|residual - J x|^2 + sum prior (x + already)^2`; gives `x` and the diagonal of the
/// inverse of the normal matrix. `columns[i]` is the derivative of the model by unknown `i`.
///
/// `None` when the matrix is singular or a number is not finite.
pub(crate) fn normal_equations(
    columns: &[Vec<f64>],
    residual: &[f64],
    prior: &[f64],
    already: &[f64],
) -> Option<(Vec<f64>, Vec<f64>)> {
    let n = columns.len();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut matrix = vec![vec![0.0; n]; n];
    for (i, a) in columns.iter().enumerate() {
        for (j, b) in columns.iter().enumerate() {
            *matrix.get_mut(i)?.get_mut(j)? = dot(a, b) + if i == j { *prior.get(i)? } else { 0.0 };
        }
    }
    let right: Vec<f64> = columns
        .iter()
        .zip(prior)
        .zip(already)
        .map(|((c, p), x)| dot(c, residual) - p * x)
        .collect();
    let factor = cholesky(&matrix)?;
    let solution = substitute(&factor, &right)?;
    let mut inverse = Vec::with_capacity(n);
    for i in 0..n {
        let unit: Vec<f64> = (0..n).map(|j| f64::from(u8::from(i == j))).collect();
        inverse.push(*substitute(&factor, &unit)?.get(i)?);
    }
    Some((solution, inverse))
}

/// Lower factor `L` with `L L' = m`.
fn cholesky(m: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = m.len();
    let mut l = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = l
                .get(i)?
                .iter()
                .zip(l.get(j)?)
                .take(j)
                .map(|(a, b): (&f64, &f64)| a * b)
                .sum();
            let rest = m.get(i)?.get(j)? - known;
            let value = if i == j {
                if !(rest > 0.0 && rest.is_finite()) {
                    return None;
                }
                rest.sqrt()
            } else {
                rest / l.get(j)?.get(j)?
            };
            *l.get_mut(i)?.get_mut(j)? = value;
        }
    }
    Some(l)
}

fn substitute(l: &[Vec<f64>], b: &[f64]) -> Option<Vec<f64>> {
    let n = b.len();
    let mut y = vec![0.0; n];
    for i in 0..n {
        let row = l.get(i)?;
        let known: f64 = row.iter().zip(&y).take(i).map(|(a, b)| a * b).sum();
        *y.get_mut(i)? = (b.get(i)? - known) / row.get(i)?;
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n)
            .map(|k| l.get(k).and_then(|r| r.get(i)).unwrap_or(&0.0) * x.get(k).unwrap_or(&0.0))
            .sum();
        *x.get_mut(i)? = (y.get(i)? - known) / l.get(i)?.get(i)?;
    }
    Some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line through four points: intercept and slope of the textbook formula.
    #[test]
    fn line_through_points() {
        let columns = [vec![1.0; 4], vec![0.0, 1.0, 2.0, 3.0]];
        let (x, inverse) =
            normal_equations(&columns, &[1.0, 3.0, 5.0, 8.0], &[0.0; 2], &[0.0; 2]).unwrap();
        assert!((x[0] - 0.8).abs() < 1e-12 && (x[1] - 2.3).abs() < 1e-12);
        // Variance factor of the slope: 1 / sum (t - mean)^2 = 1/5.
        assert!((inverse[1] - 0.2).abs() < 1e-12);
        assert!(normal_equations(&[vec![0.0], vec![0.0]], &[1.0], &[0.0; 2], &[0.0; 2]).is_none());
    }
}
