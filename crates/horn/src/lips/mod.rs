//! The lips: a one-mass, outward-striking valve coupled to the air column, and its linear stability.
//!
//! `h'' + (wl/Q) h' + wl^2 (h - H) = (pb - p)/m`, `u = W h sqrt(2 (pb - p)/rho)`, `p = Z u`
//! (Elliott & Bowsher, J. Sound Vib. 83 (1982) 181; Cullen, Gilbert & Campbell, Acta Acustica 86
//! (2000) 704; Velut, Vergez, Gilbert & Djahanbani, Acta Acustica 103 (2017) 172).
//!
//! # Which lip state is the note
//! Every lip frequency gives a resonance another threshold and another pitch, so a rule must choose. This
//! model sounds above the impedance peak, the less so the slacker the lips and the higher the
//! pressure. Players of the trombone were measured 1.1 % (19 cents) above it on average, and could bend
//! from above it to below (Boutin, Fletcher, Smith & Wolfe, J. Acoust. Soc. Am. 137 (2015) 1195).
//!
//! - [`Slot::easiest`]: the lip frequency of lowest threshold. It is what "threshold" means in the chart.
//! - [`Slot::played`]: of all settings within the slot that need no more than twice that pressure, the one
//!   that sounds nearest to the usual place ([`Lips::usual_cents`], the published 19): a player blows
//!   above the threshold, and lets the lips down until the note is centred. Bends start from here.
//!
//! What the generic bores give, means over resonances 2 to 8 of the open tube (the example `lip_rules`
//! prints each), beside what is published:
//!
//! | | trumpet | trombone | published |
//! | --- | --- | --- | --- |
//! | above the peak at the lowest threshold, cents | 80 | 69 | |
//! | above the peak as played, cents | 34 | 29 | 19 (trombone, Boutin et al. 2015) |
//! | lowest threshold grows as frequency to the | 1.2 | 1.5 | about 1 (trumpet, Fletcher & Tarnopolsky 1999) |
//! | threshold as played grows as frequency to the | 0.8 | 1.1 | about 1 |
//!
//! By this rule the means come within 10 to 15 cents of the published place and no nearer: the low
//! resonances stay 35 to 55 cents above their peaks, and none sounds below, where a one-mass lip cannot
//! (it needs an air column that reacts as a compliance). A smaller rest opening brings them nearer: 0.1 mm in place of
//! 0.2 takes 6 to 10 cents off and halves the thresholds.
//!
//! One mass striking outward is an estimate: Cullen et al. and Yoshikawa (1995) found lips that
//! change from outward to upward motion. Every parameter is open to change for that reason.

mod slot;
mod slots;
mod stability;

use serde::{Deserialize, Serialize};

pub use slot::{Slot, Speaking};
pub use slots::{setting_for, slots};
pub use stability::{AirColumn, Threshold, growth_per_pascal, thresholds};

/// Parameters of the lips.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Lips {
    /// Width of the lip opening over the inner diameter of the rim. 12 mm (Velut et al. 2017) in a
    /// 16.5 mm trumpet rim gives 0.73; the same share elsewhere is our choice.
    pub width_share: f64,
    /// Opening at rest, mm (0.5 in Velut et al. 2017 for the trombone's pedal; 0.2 is our choice:
    /// a smaller opening lowers thresholds and brings the note nearer to the peak).
    pub opening_mm: f64,
    /// Quality factor of the lips (7: Velut et al. 2017; 3: Adachi & Sato 1996, open lips).
    pub q: f64,
    /// Mass per area at [`Lips::REFERENCE_HZ`], kg/m2 (1/0.11: Velut et al. 2017).
    pub mass: f64,
    /// The mass falls as this power of lip frequency: 0 is the constant mass of Velut et al., 1 that
    /// of Adachi & Sato (J. Acoust. Soc. Am. 99 (1996) 1200: 1.5/((2 pi)^2 f)). Between them, 0.75 is
    /// our calibration: the trumpet's thresholds then grow about in proportion to the note's
    /// frequency, as published (Fletcher & Tarnopolsky, J. Acoust. Soc. Am. 105 (1999) 874).
    pub mass_falls: f64,
    /// Where a player usually sounds, in cents above the impedance peak (1.1 %, that is 19 cents, on
    /// average over trombone players: Boutin, Fletcher, Smith & Wolfe, J. Acoust. Soc. Am. 137
    /// (2015) 1195).
    pub usual_cents: f64,
}

impl Lips {
    /// Lip frequency at which [`Lips::mass`] holds, Hz.
    pub const REFERENCE_HZ: f64 = 233.0;

    /// Mass per area at a lip frequency, kg/m2.
    #[must_use]
    pub fn mass_at(&self, lip_hz: f64) -> f64 {
        self.mass * (Self::REFERENCE_HZ / lip_hz).powf(self.mass_falls)
    }

    /// Whether the numbers are usable.
    ///
    /// # Errors
    /// The first number that is not finite or out of range, by name.
    pub fn check(&self) -> Result<(), LipsError> {
        for (name, value, low, high) in [
            ("width_share", self.width_share, 0.05, 1.0),
            ("opening_mm", self.opening_mm, 0.001, 5.0),
            ("q", self.q, 0.5, 50.0),
            ("mass", self.mass, 0.01, 1000.0),
            ("mass_falls", self.mass_falls, -3.0, 3.0),
            ("usual_cents", self.usual_cents, 0.0, 200.0),
        ] {
            if !(value >= low && value <= high) {
                return Err(LipsError {
                    name,
                    value,
                    low,
                    high,
                });
            }
        }
        Ok(())
    }
}

impl Default for Lips {
    fn default() -> Self {
        Self {
            width_share: 0.73,
            opening_mm: 0.2,
            q: 7.0,
            mass: 1.0 / 0.11,
            mass_falls: 0.75,
            usual_cents: 19.0,
        }
    }
}

/// Why lip parameters are refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("lips: {name} = {value} must lie between {low} and {high}")]
pub struct LipsError {
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
}
