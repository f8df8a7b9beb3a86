//! The same top note, reached from ever lower starts: does it stay the same sound?

use super::table::Definition;
use super::{Envelope, stats};
use crate::{Measure, WhyNot};

/// Distance of sounds.
pub const SOUND: Definition = Definition {
    id: "sound_spread_db",
    name: "same roof",
    unit: "dB RMS",
    what: "root of the mean squared difference of harmonics 1 to 12 between one time the top note \
           was reached and the mean of all, each time's own mean level taken out first",
    window: "the steady part of each time",
    limits: "at least three harmonics heard each time, and two times",
    chosen_by: "1 dB RMS is near the smallest change of spectral envelope that listeners tell \
                (Moore, Oldfield & Dooley 1989: 1 to 3 dB for peaks and notches)",
};

/// Fewest harmonics that two sounds share.
const FEWEST: usize = 3;

/// The mean of envelopes, harmonic by harmonic; a harmonic counts when half of them have it.
#[must_use]
pub fn mean(envelopes: &[&Envelope]) -> Envelope {
    let length = envelopes.iter().map(|e| e.0.len()).max().unwrap_or(0);
    let at = |h: usize| {
        let levels: Vec<f64> = envelopes
            .iter()
            .filter_map(|e| e.0.get(h).copied().flatten())
            .collect();
        (2 * levels.len() >= envelopes.len())
            .then(|| stats::mean(&levels))
            .flatten()
    };
    Envelope((0..length).map(at).collect())
}

/// Distance of one sound from another, dB RMS over the harmonics that both have.
#[must_use]
pub fn distance(a: &Envelope, b: &Envelope) -> Measure {
    let pairs: Vec<f64> =
        a.0.iter()
            .zip(&b.0)
            .filter_map(|(a, b)| Some((*a)? - (*b)?))
            .collect();
    let Some(shift) = stats::mean(&pairs).filter(|_| pairs.len() >= FEWEST) else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let squares: f64 = pairs.iter().map(|d| (d - shift).powi(2)).sum();
    let freedom = pairs.len() as f64 - 1.0;
    let value = (squares / freedom).sqrt();
    Measure::known(value, stats::deviation_uncertainty(value, freedom))
}
