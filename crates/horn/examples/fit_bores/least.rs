//! The damped step of the fit.

/// Least squares by the normal equations (a handful of unknowns), Gaussian elimination.
#[allow(clippy::needless_range_loop)]
pub(crate) fn solve(columns: &[Vec<f64>], residual: &[f64], damping: f64) -> Vec<f64> {
    let n = columns.len();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut m: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            (0..n)
                .map(|j| dot(&columns[i], &columns[j]))
                .chain([dot(&columns[i], residual)])
                .collect()
        })
        .collect();
    for i in 0..n {
        m[i][i] *= 1.0 + damping;
    }
    for i in 0..n {
        for j in i + 1..n {
            let factor = m[j][i] / m[i][i];
            for k in i..=n {
                m[j][k] -= factor * m[i][k];
            }
        }
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| m[i][k] * x[k]).sum();
        x[i] = (m[i][n] - known) / m[i][i];
    }
    x
}
