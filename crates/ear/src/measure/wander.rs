//! How far the pitch moves within the steady part, vibrato taken out.

use super::table::Definition;
use super::vibrato::{self, Fit};
use super::{View, view::Moment};
use crate::{Measure, WhyNot};

/// What it is.
pub const DEFINITION: Definition = Definition {
    id: "wander_cents",
    name: "wander",
    unit: "cents",
    what: "standard deviation of the pitch over the steady part after the vibrato, if there is \
           one, is taken out and the track's own noise is subtracted; moments that \
           stray (50 cents or more off the middle and four times the others' spread) do not count",
    window: "steady part, from when the echo of the note before has fallen by 30 dB where the \
             room's reverberation time is known, at least 150 ms",
    limits: "too short below 150 ms; 0 with its uncertainty when the track's noise covers it; too \
             echoing in a hall, and where the echo leaves less than 150 ms",
    chosen_by: "reasoning: 150 ms holds five independent looks of the track; \
                tests/measure_coverage.rs asks that the interval covers the truth; with the old \
                note's echo in it, 96 of 386 wanders and vibratos of the slurred notes of a simulated \
                room (seeds 11 to 14) were told to be more than all that was played, their intervals \
                taken off, and none of 104 after 30 dB (tests/hall_wander.rs); in a hall 55 of 195 were",
};

/// Shortest steady part, seconds.
pub const SHORTEST_S: f64 = 0.15;
/// Time over which the errors of neighbouring frames are alike, seconds: the track's window.
pub const FRAME_WINDOW_S: f64 = 0.03;

/// Measures it.
#[must_use]
pub fn measure(view: &View<'_>) -> Measure {
    let moments = match view.settled(SHORTEST_S) {
        Ok(moments) => moments,
        Err(why) => return Measure::unknown(why),
    };
    let rest = match vibrato::fit(&moments) {
        Some(fit) if fit.is_vibrato() => fit.without(&moments),
        _ => moments,
    };
    spread(&rest)
}

/// How many of the moments' errors are independent.
pub(super) fn independent(moments: &[Moment]) -> f64 {
    match (moments.first(), moments.last()) {
        (Some(first), Some(last)) => ((last.at_s - first.at_s) / FRAME_WINDOW_S)
            .max(1.0)
            .min(moments.len() as f64),
        _ => 1.0,
    }
}

/// The spread of what was played, from a track with noise: the noise's power is subtracted, and
/// the uncertainty is that of a variance estimated over independent frames.
fn spread(moments: &[Moment]) -> Measure {
    let cents: Vec<f64> = moments.iter().map(|m| m.cents).collect();
    let Some(raw) = super::stats::deviation(&cents) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    let noise = moments.iter().map(|m| m.uncertainty.powi(2)).sum::<f64>() / cents.len() as f64;
    let count = independent(moments);
    let played = (raw * raw - noise).max(0.0);
    // Var(s^2) = (4 s^2 noise + 2 noise^2) / n for a fixed movement seen through normal noise.
    let variance = (4.0 * played * noise + 2.0 * noise * noise) / count;
    let value = played.sqrt();
    // d s = d(s^2) / 2s; where s is lost in the noise, the root of what could hide there.
    let hidden = variance.sqrt().sqrt();
    let uncertainty = if value > hidden {
        variance.sqrt() / (2.0 * value)
    } else {
        hidden / 2.0
    };
    Measure::known(value, uncertainty.max(0.02))
}

impl Fit {
    /// The moments with the vibrato taken out.
    fn without(&self, moments: &[Moment]) -> Vec<Moment> {
        let take = |m: &Moment| Moment {
            cents: m.cents - self.swing_at(m.at_s),
            ..*m
        };
        moments.iter().map(take).collect()
    }
}
