//! How much a harmonic's amplitude speaks for a tone in it.

use crate::thresholds as t;

/// Log-likelihood ratio, nats, of "a sinusoid of unknown phase, its amplitude within a range of what
/// is asked, in noise" over "noise alone", for an amplitude that was heard: Rice's distribution over
/// Rayleigh's (Kay, Fundamentals of Statistical Signal Processing II, 1998, sec. 7.6). `noise` is a power;
/// all three are in the units of one window's sum.
pub(super) fn evidence(heard: f32, asked: f32, noise: f32) -> f32 {
    // The most likely amplitude of the range, so that harmonics which ought to be there and are not
    // count against.
    let amplitude = heard.clamp(
        t::SLUR_WEAKEST as f32 * asked,
        t::SLUR_STRONGEST as f32 * asked,
    );
    log_bessel(2.0 * amplitude * heard / noise) - amplitude * amplitude / noise
}

/// Logarithm of the modified Bessel function of the first kind and order 0 (Olivares, Martin &
/// Valero, J. Phys.: Conf. Ser. 1043 (2018) 012003), to 0.006.
fn log_bessel(x: f32) -> f32 {
    let square = x * x;
    let ratio = (1.0 + 0.242_73 * square) / (1.0 + 0.430_23 * square);
    let root = (1.0 + 0.25 * square).sqrt().sqrt();
    x + (0.5 * (1.0 + (-2.0 * x).exp()) * ratio / root).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bessel_function_has_its_tabled_values() {
        // Abramowitz & Stegun, Handbook of Mathematical Functions (1964), table 9.8: exp(-x) I0(x).
        for (x, tabled) in [
            (0.0, 1.0),
            (0.5, 0.645_035),
            (1.0, 0.465_760),
            (2.0, 0.308_508),
            (5.0, 0.183_541),
            (10.0, 0.127_833),
        ] {
            let found = log_bessel(x) - x;
            assert!((found - f32::ln(tabled)).abs() < 0.006, "{x}: {found}");
        }
        assert!(log_bessel(3.0e4).is_finite());
    }

    #[test]
    fn what_is_expected_speaks_for_a_tone_and_its_absence_against() {
        assert!(evidence(1.0, 1.0, 0.05) > 10.0);
        assert!(evidence(0.0, 1.0, 0.05) < -1.0);
        // Noise alone decides nothing where little is asked.
        assert!(evidence(0.2, 0.1, 0.05).abs() < 1.0);
    }
}
