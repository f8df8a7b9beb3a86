//! Hearing while it sounds.

/// Periods of the lowest pitch that a live moment waits for: half its window of salience
/// (Camacho & Harris 2008, eq. 11).
pub const LIVE_AHEAD_PERIODS: f64 = 4.0;
/// The least and the most sound that a live moment waits for, seconds: half of the shortest window
/// of salience, and half the window of pitches from 86 Hz up.
pub const LIVE_AHEAD_S: (f64, f64) = (0.024, 0.047);
