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

/// How far from a note the place is looked for where its harmonics are backed best, cents.
pub(super) const SEARCH_CENTS: f64 = 120.0;
/// Steps of that search, cents; parabolas refine it to a hundredth.
const SEARCH_STEP: f64 = 3.0;
const REFINING_STEPS: [f64; 3] = [1.5, 0.4, 0.1];

/// The frequency near `frequency` (within `cents` either way) where the harmonics from `from` on
/// are backed best; `None` when that is the end of the search, so that nothing backs the note here.
pub(super) fn best_supported(
    column: &AirColumn,
    frequency: f64,
    cents: f64,
    from: usize,
) -> Option<f64> {
    let at = |c: f64| support(column, frequency * (c / 1200.0).exp2(), from);
    let steps = (cents / SEARCH_STEP) as i32;
    let (mut best, _) = (-steps..=steps)
        .map(|i| f64::from(i) * SEARCH_STEP)
        .map(|c| (c, at(c)))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    if best.abs() > cents - 1.5 * SEARCH_STEP {
        return None;
    }
    for h in REFINING_STEPS {
        let (a, b, c) = (at(best - h), at(best), at(best + h));
        let bend = a - 2.0 * b + c;
        if bend < 0.0 {
            best += h * ((a - c) / (2.0 * bend)).clamp(-1.0, 1.0);
        }
    }
    Some(frequency * (best / 1200.0).exp2())
}

/// Where a note of a resonance lies: where all its harmonics together are backed best, near the
/// frequency meant (Wogram's sum function, dissertation, Braunschweig 1972); the peak itself where
/// no second harmonic lies in the computed range.
///
/// On most notes the two are within a few cents. On a long tube partial 2 stands far from its peak, and
/// players find it here: low E on the trombone in seventh, the low notes on three valves.
pub(crate) fn note_place(column: &AirColumn, meant: f64, peak: &Peak) -> f64 {
    let has_second = column.admittance(2.2 * meant).is_some();
    let place = has_second.then(|| best_supported(column, meant, SEARCH_CENTS, 1));
    place.flatten().unwrap_or(peak.frequency)
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
