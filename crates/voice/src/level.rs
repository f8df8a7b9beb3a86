//! From dynamic marks to levels, and the curves that sounds begin and end with.

use routine::part::Dynamic;

/// Level of a dynamic mark: root mean square of the held note in dB below full scale.
///
/// Five decibels a step with mezzo-forte at -23 (a design choice: quiet enough that a note, a drone
/// and a click add up without clipping).
///
/// ```
/// use voice::{Dynamic, level_dbfs};
///
/// assert_eq!(level_dbfs(Dynamic::Mf), -23.0);
/// assert_eq!(level_dbfs(Dynamic::Ff) - level_dbfs(Dynamic::F), 5.0);
/// ```
#[must_use]
pub const fn level_dbfs(dynamic: Dynamic) -> f64 {
    match dynamic {
        Dynamic::Pp => -38.0,
        Dynamic::P => -33.0,
        Dynamic::Mp => -28.0,
        Dynamic::Mf => -23.0,
        Dynamic::F => -18.0,
        Dynamic::Ff => -13.0,
    }
}

/// Frequency above which a note's harmonics fall off faster: louder is brighter. A design choice that
/// follows what brass does, not a model of it.
pub(crate) fn corner_hz(level_db: f64) -> f64 {
    const AT_MF: f64 = 1400.0;
    /// Decibels of level for a doubling.
    const PER_OCTAVE: f64 = 10.0;
    AT_MF * ((level_db - level_dbfs(Dynamic::Mf)) / PER_OCTAVE).exp2()
}

/// Amplitude ratio of a level in dB.
pub(crate) fn amplitude(db: f64) -> f64 {
    10.0_f64.powf(db / 20.0)
}

/// Raised cosine from 0 at 0 to 1 at 1; level outside.
pub(crate) fn rise(x: f64) -> f64 {
    0.5 - 0.5 * (std::f64::consts::PI * x.clamp(0.0, 1.0)).cos()
}
