//! The two weightings: K (ITU-R BS.1770-4) and A (IEC 61672-1).

use std::f64::consts::{PI, TAU};

use super::Biquad;

/// Poles of the A weighting, hertz (IEC 61672-1:2013, annex E).
const A_POLES: [f64; 4] = [20.598_997, 107.652_65, 737.862_23, 12_194.217];
/// The head shelf and the high-pass of the K weighting as analogue prototypes: frequency, Q and
/// gain that give the coefficients printed for 48 kHz in ITU-R BS.1770-4, annex 1, tables 1 and 2.
const K_SHELF: (f64, f64, f64) = (
    1_681.974_450_955_533,
    0.707_175_236_955_419_6,
    3.999_843_853_973_347,
);
const K_HIGH_PASS: (f64, f64) = (38.135_470_876_024_44, 0.500_327_037_323_877_3);

/// A frequency weighting as a chain of filters.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighting {
    /// As many for each weighting; the last may let all through.
    pub(super) sections: [Biquad; 3],
}

impl Weighting {
    /// The K weighting at a rate.
    #[must_use]
    pub fn k(rate: f64) -> Self {
        let (hz, q, gain_db) = K_SHELF;
        let k = (PI * hz / rate).tan();
        let vh = 10.0_f64.powf(gain_db / 20.0);
        let vb = vh.powf(0.499_666_774_154_541_6);
        let a0 = 1.0 + k / q + k * k;
        let shelf = Biquad::new(
            [
                (vh + vb * k / q + k * k) / a0,
                2.0 * (k * k - vh) / a0,
                (vh - vb * k / q + k * k) / a0,
            ],
            [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0],
        );
        let (hz, q) = K_HIGH_PASS;
        let k = (PI * hz / rate).tan();
        let a0 = 1.0 + k / q + k * k;
        let high_pass = Biquad::new(
            [1.0, -2.0, 1.0],
            [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0],
        );
        Self {
            sections: [shelf, high_pass, Biquad::THROUGH],
        }
    }

    /// The A weighting at a rate, by the bilinear transform of IEC 61672-1's poles: within class 1
    /// limits up to 16 kHz at 44.1 kHz; at lower rates it falls off before half the rate.
    #[must_use]
    pub fn a(rate: f64) -> Self {
        let [w1, w2, w3, w4] = A_POLES.map(|hz| TAU * hz);
        let square = |w: f64| [w * w, 2.0 * w, 1.0];
        let mut sections = [
            Biquad::bilinear([0.0, 0.0, 1.0], square(w1), rate),
            Biquad::bilinear([0.0, 0.0, 1.0], [w2 * w3, w2 + w3, 1.0], rate),
            Biquad::bilinear([w4 * w4, 0.0, 0.0], square(w4), rate),
        ];
        let gain = sections
            .iter()
            .map(|s| s.power_gain(1_000.0, rate))
            .product::<f64>()
            .sqrt();
        sections[0].b = sections[0].b.map(|b| b / gain);
        Self { sections }
    }

    /// The next sample, weighted.
    pub fn next(&mut self, x: f64) -> f64 {
        self.sections.iter_mut().fold(x, |x, s| s.next(x))
    }

    /// Gain at a frequency, dB.
    #[must_use]
    pub fn gain_db(&self, hz: f64, rate: f64) -> f64 {
        let power: f64 = self
            .sections
            .iter()
            .map(|s| s.power_gain(hz, rate))
            .product();
        10.0 * power.log10()
    }
}

/// The A weighting at a frequency by its formula (IEC 61672-1:2013, annex E), dB.
#[must_use]
pub fn a_weighting_db(hz: f64) -> f64 {
    let gain = |f: f64| {
        let [f1, f2, f3, f4] = A_POLES.map(|p| p * p);
        let f = f * f;
        f4 * f * f / ((f + f1) * ((f + f2) * (f + f3)).sqrt() * (f + f4))
    };
    20.0 * (gain(hz) / gain(1_000.0)).log10()
}
