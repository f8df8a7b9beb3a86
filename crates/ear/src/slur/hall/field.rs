//! The echo of a hall: countless reflections, as Gaussian noise that dies exponentially.
//!
//! J.-D. Polack, La transmission de l'énergie sonore dans les salles (thesis, Le Mans 1988); see H. Kuttruff,
//! Room Acoustics, 5th ed. (2009), ch. 3 and 8.

/// Natural logarithm of the power ratio of 60 dB.
const SIXTY_DB: f64 = 13.815_510_557_964_274;

/// A room's echo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Power of the echo over that of the direct sound, when a tone has sounded for long.
    pub share: f64,
    /// Reverberation time, seconds.
    pub rt60_s: f64,
}

impl Field {
    /// Share of the echo's power that comes more than so many seconds after the sound.
    #[must_use]
    pub fn later(&self, seconds: f64) -> f64 {
        (-SIXTY_DB * seconds.max(0.0) / self.rt60_s.max(0.05)).exp()
    }

    /// Share of the echo's power that comes by some times after `from_s`.
    pub(super) fn sooner_at(&self, times: &[f64], from_s: f64) -> Vec<f32> {
        let each = times.iter();
        each.map(|at| (1.0 - self.later(at - from_s)) as f32)
            .collect()
    }

    /// Covariance, at two moments, of the echo of a tone of direct power 1 that sounds from one time to
    /// another, turned against its own frequency: the power of the reflections that reach both.
    #[must_use]
    pub fn covariance(&self, (from_s, to_s): (f64, f64), early_s: f64, late_s: f64) -> f64 {
        let both = self.later(late_s - to_s) - self.later(early_s - from_s);
        self.share * both.max(0.0)
    }
}

/// The first of some times after another; as many as there are when none is.
pub(super) fn first_after(times: &[f64], from_s: f64) -> usize {
    times.partition_point(|at| *at <= from_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tone_fills_the_room_and_dies_in_it() {
        let field = Field {
            share: 2.0,
            rt60_s: 1.2,
        };
        let power = |at: f64| field.covariance((0.0, 3.0), at, at);
        assert_eq!(power(-0.1), 0.0);
        assert!((power(3.0) - 2.0).abs() < 1e-9);
        // 60 dB down after the reverberation time: the definition of ISO 3382-1.
        let fallen = 10.0 * (power(4.2) / power(3.0)).log10();
        assert!((fallen + 60.0).abs() < 0.01, "{fallen}");
        // What reaches both moments is what has come by the first while the tone sounds.
        assert_eq!(field.covariance((0.0, 3.0), 0.2, 2.0), power(0.2));
    }

    /// The covariance against the echo of a tone in drawn rooms of this kind.
    #[test]
    fn drawn_rooms_have_this_covariance() {
        use num_complex::Complex64;
        let field = Field {
            share: 1.0,
            rt60_s: 0.5,
        };
        let (from_s, to_s) = (0.05, 0.2);
        let (early, late) = (0.15, 0.25);
        // Reflections every 2 ms; the tone stands still where it is turned against itself.
        let step = 0.002;
        let gain = (SIXTY_DB * step / field.rt60_s).sqrt();
        let mut state = 1_u64;
        let mut uniform = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            ((state >> 33) as f64 + 0.5) / f64::from(1_u32 << 31)
        };
        let (mut sum, rooms) = (0.0, 4_000);
        for _ in 0..rooms {
            let (mut a, mut b) = (Complex64::default(), Complex64::default());
            for k in 0..400 {
                let after = f64::from(k) * step;
                // Box & Muller: a complex normal number of power 1.
                let size = (-uniform().ln()).sqrt();
                let turn = std::f64::consts::TAU * uniform();
                let dies = (-SIXTY_DB * after / field.rt60_s / 2.0).exp();
                let z = Complex64::from_polar(gain * size * dies, turn);
                let sounded = |at: f64| (from_s..to_s).contains(&(at - after));
                a += if sounded(early) {
                    z
                } else {
                    Complex64::default()
                };
                b += if sounded(late) {
                    z
                } else {
                    Complex64::default()
                };
            }
            sum += (a * b.conj()).re;
        }
        let (found, want) = (
            sum / f64::from(rooms),
            field.covariance((from_s, to_s), early, late),
        );
        assert!((found - want).abs() < 0.02, "{found} {want}");
    }
}
