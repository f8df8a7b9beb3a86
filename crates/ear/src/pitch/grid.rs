//! The grid of pitches that the salience is computed on.

/// Grid steps in an octave: one every 33 cents, closer than the kernels' own width.
pub const STEPS: f64 = 36.0;
/// Lowest pitch, hertz: a semitone and more below a tuba's lowest pedal (29 Hz).
pub const LOWEST_HZ: f64 = 26.0;
/// Highest pitch, hertz: two semitones above a piccolo trumpet's top (1,900 Hz).
pub const HIGHEST_HZ: f64 = 2_200.0;

/// Evenly spaced pitches from [`LOWEST_HZ`] up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    count: usize,
}

impl Grid {
    /// The grid for a working rate: no pitch above a fifth of the rate.
    #[must_use]
    pub fn new(rate: f64) -> Self {
        let top = HIGHEST_HZ.min(rate / 5.0).max(2.0 * LOWEST_HZ);
        let count = ((top / LOWEST_HZ).log2() * STEPS).floor() as usize + 1;
        Self { count }
    }

    /// How many pitches.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// The pitch at a place, hertz.
    #[must_use]
    pub fn hz(&self, place: f64) -> f64 {
        LOWEST_HZ * (place / STEPS).exp2()
    }

    /// The place of a pitch; may lie outside the grid.
    #[must_use]
    pub fn place(&self, hz: f64) -> f64 {
        (hz / LOWEST_HZ).log2() * STEPS
    }
}
