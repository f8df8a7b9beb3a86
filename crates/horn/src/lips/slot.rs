//! What is said of one slot: the ways its note starts, and between which pitches.

use serde::Serialize;

/// One way a note starts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Speaking {
    /// The lips' own frequency, Hz.
    pub lip: f64,
    /// Playing frequency, Hz.
    pub frequency: f64,
    /// Threshold blowing pressure, Pa.
    pub pressure: f64,
}

impl Speaking {
    /// The setting a share (0 to 1) of the way to another, in logarithms.
    pub(super) fn towards(&self, other: &Self, share: f64) -> Self {
        let between = |from: f64, to: f64| from * (to / from).powf(share);
        Self {
            lip: between(self.lip, other.lip),
            frequency: between(self.frequency, other.frequency),
            pressure: between(self.pressure, other.pressure),
        }
    }
}

/// The slot of one resonance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Slot {
    /// Number of the resonance, lowest 1.
    pub resonance: u8,
    /// Its impedance peak, Hz.
    pub peak: f64,
    /// The setting with the lowest threshold pressure of all.
    pub easiest: Speaking,
    /// The setting taken for the note as it is played. By rule: of all settings inside the slot that
    /// need no more than twice the lowest threshold, the one that sounds nearest to the usual place
    /// above the peak ([`Lips::usual_cents`](super::Lips::usual_cents)); the easiest one for a resonance that has no slot.
    pub played: Speaking,
    /// Lip frequencies between which this resonance has the lowest threshold of all, Hz; `None`
    /// when another one always speaks sooner.
    pub lip_range: Option<[f64; 2]>,
    /// The notes sounded at those two ends, Hz.
    pub pitch_range: Option<[f64; 2]>,
    /// The notes between which this resonance, once played, can be bent before it jumps or stops:
    /// where its threshold stays under twice that of the note as played, Hz. (This model never
    /// sounds below the peak; players can: Boutin et al. 2015.)
    pub bend_range: [f64; 2],
}

impl Slot {
    /// Width of the slot in cents of playing pitch; 0 when it never speaks first.
    #[must_use]
    pub fn width_cents(&self) -> f64 {
        self.pitch_range
            .map_or(0.0, |[low, high]| 1200.0 * (high / low).log2().abs())
    }

    /// Width of the slot in Hz of lip frequency; 0 when it never speaks first.
    #[must_use]
    pub fn width_hz(&self) -> f64 {
        self.lip_range.map_or(0.0, |[low, high]| high - low)
    }

    /// Bend from the note as played down and up before it jumps, cents.
    #[must_use]
    pub fn bend_cents(&self) -> [f64; 2] {
        let from = self.played.frequency;
        self.bend_range.map(|f| 1200.0 * (f / from).log2())
    }

    /// How far the note as played lies above the impedance peak, cents.
    #[must_use]
    pub fn above_peak_cents(&self) -> f64 {
        1200.0 * (self.played.frequency / self.peak).log2()
    }
}
