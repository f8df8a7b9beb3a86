//! How loud a note is.

use super::table::Definition;
use super::{View, stats};
use crate::level::Calibration;
use crate::{Measure, WhyNot};

/// K-weighted.
pub const LEVEL: Definition = Definition {
    id: "level_db",
    name: "level",
    unit: "LKFS",
    what: "K-weighted level of the steady part (ITU-R BS.1770-4, one channel, not gated)",
    window: "steady part, at least 50 ms",
    limits: "not where the recording is overloaded",
    chosen_by: "50 ms holds one period of the lowest pedal note; the uncertainty is the spread of \
                the 50 ms levels over the root of their number",
};

/// A-weighted and calibrated.
pub const LEVEL_DBA: Definition = Definition {
    id: "level_dba",
    name: "sound level",
    unit: "dB(A) SPL",
    what: "A-weighted level of the steady part plus the calibration's offset (IEC 61672-1)",
    window: LEVEL.window,
    limits: "only after a calibration with a sound level meter's reading",
    chosen_by: LEVEL.chosen_by,
};

/// Length of the pieces whose spread gives the uncertainty, seconds.
const PIECE_S: f64 = 0.05;
/// Smallest uncertainty stated, dB: the rounding of stretches to 1 ms at a changing level.
const SMALLEST_DB: f64 = 0.05;

/// Measures the K-weighted level.
#[must_use]
pub fn k(view: &View<'_>) -> Measure {
    measure(view, &view.take.k)
}

/// Measures the calibrated A-weighted level.
#[must_use]
pub fn dba(view: &View<'_>, calibration: Option<Calibration>) -> Measure {
    match measure(view, &view.take.a) {
        Measure::Known { value, uncertainty } => Calibration::dba(calibration, value, uncertainty),
        unknown @ Measure::Unknown { .. } => unknown,
    }
}

fn measure(view: &View<'_>, weighted: &crate::level::Weighted) -> Measure {
    let (from, to) = view.note.steady_s;
    if view.clipped(from, to) {
        return Measure::unknown(WhyNot::Clipped);
    }
    let (Some(level), true) = (weighted.level_db(from, to), to - from >= PIECE_S) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    let pieces: Vec<f64> = weighted.levels(from, to, PIECE_S).collect();
    let spread = stats::deviation(&pieces).unwrap_or(1.0);
    let uncertainty = spread / (pieces.len().max(1) as f64).sqrt();
    Measure::known(level, uncertainty.max(SMALLEST_DB))
}
