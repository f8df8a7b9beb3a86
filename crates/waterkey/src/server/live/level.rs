//! The level of a stream as it is shown: the mean power of the last moments, whatever the blocks are.

/// Time over which the power is averaged, seconds: one swing of the lowest pedal notes (common
/// practice in meters is 35 ms and more, which would lag behind the picture).
const OVER_S: f64 = 0.02;
/// The lowest mean power: keeps silence a number, -200 dB below any converter.
const FLOOR: f64 = 1e-20;

/// Follows the power of one stream.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Level {
    power: f64,
}

impl Level {
    /// Takes a block's mean power and length in seconds; gives the level, dB against full scale.
    pub(super) fn take(&mut self, power: f64, seconds: f64) -> f64 {
        if power.is_finite() && seconds > 0.0 {
            self.power += (power - self.power) * -(-seconds / OVER_S).exp_m1();
        }
        10.0 * self.power.max(FLOOR).log10()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_level_is_the_same_in_short_blocks_and_in_long_ones() {
        let after = |blocks: u32, seconds: f64| {
            let mut level = Level::default();
            (0..blocks).fold(f64::NAN, |_, _| level.take(0.01, seconds))
        };
        assert!((after(64, 0.005) - after(16, 0.02)).abs() < 1e-9);
        assert!((after(64, 0.005) + 20.0).abs() < 1e-3);
    }

    #[test]
    fn silence_and_nonsense_are_numbers() {
        let mut level = Level::default();
        assert!((level.take(0.0, 0.01) + 200.0).abs() < 1e-9);
        assert!((level.take(f64::NAN, 0.01) + 200.0).abs() < 1e-9);
        assert!((level.take(0.1, -1.0) + 200.0).abs() < 1e-9);
    }
}
