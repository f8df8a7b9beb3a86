//! Support: how well the tube backs a note through all its harmonics.

use crate::impedance::Peak;
use crate::lips::AirColumn;

/// Harmonics that count.
pub const HARMONICS: usize = 8;

/// Weighted mean of |Z| at the harmonics of `frequency`, Pa.s/m3.
///
/// Weights fall as 1/k, like the spectrum of a note at moderate loudness (our choice; the sum over
/// harmonics itself is Wogram's, dissertation, Braunschweig 1972). Harmonics above the computed
/// range count as zero: the bell passes them on. `from` is the first harmonic that counts: 2 for a
/// pedal, whose fundamental has no resonance.
#[must_use]
pub fn support(column: &AirColumn, frequency: f64, from: usize) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for k in from.max(1)..=HARMONICS {
        let weight = 1.0 / k as f64;
        weights += weight;
        if let Some(y) = column.admittance(frequency * k as f64) {
            sum += weight / y.norm();
        }
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}

/// The frequency near `frequency` (within `cents` either way) where the harmonics from `from` on
/// are backed best, in steps of a cent.
pub(super) fn best_supported(column: &AirColumn, frequency: f64, cents: i32, from: usize) -> f64 {
    (-cents..=cents)
        .step_by(2)
        .map(|c| frequency * (f64::from(c) / 1200.0).exp2())
        .max_by(|a, b| support(column, *a, from).total_cmp(&support(column, *b, from)))
        .unwrap_or(frequency)
}

/// The resonance that carries partial `n` of a tube with this fundamental: the peak nearest to
/// `n` times it, if one lies within two thirds of the way to the next partial.
pub(crate) fn resonance_of(peaks: &[Peak], fundamental: f64, n: u8) -> Option<(usize, &Peak)> {
    let target = fundamental * f64::from(n);
    let (index, peak) = peaks.iter().enumerate().min_by(|a, b| {
        (a.1.frequency - target)
            .abs()
            .total_cmp(&(b.1.frequency - target).abs())
    })?;
    ((peak.frequency - target).abs() < fundamental / 3.0).then_some((index, peak))
}
