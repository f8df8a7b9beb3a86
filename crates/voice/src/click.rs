//! The click: a short, band-limited knock.

use tone::Hertz;

use crate::level::{amplitude, rise};
use crate::{Audio, Rate};

/// Pitch of the knock on the first beat of a bar and on the others.
const FIRST: Hertz = Hertz(1567.98);
const OTHER: Hertz = Hertz(1046.50);
/// Peak level, dBFS.
const PEAK_DB: f64 = -12.0;
/// How long it takes to rise and to fall to a 1/e, and its whole length, seconds.
const RISE_S: f64 = 0.002;
const DECAY_S: f64 = 0.012;
const LENGTH_S: f64 = 0.080;

/// One click by itself; `first` for the higher knock on the first beat of a bar.
#[must_use]
pub fn click(rate: Rate, first: bool) -> Audio {
    let mut samples = vec![0.0; rate.sample(LENGTH_S)];
    add(&mut samples, rate, 0, first);
    Audio::from_mix(rate, samples, Vec::new())
}

/// Adds a click that starts at a sample; what lies beyond the end is left out.
pub(crate) fn add(mix: &mut [f32], rate: Rate, at: usize, first: bool) {
    let hz = if first { FIRST } else { OTHER }.0;
    let length = rate.sample(LENGTH_S);
    let Some(rest) = mix.get_mut(at..) else {
        return;
    };
    for (index, sample) in rest.iter_mut().take(length).enumerate() {
        let t = index as f64 / rate.hz();
        let shape = rise(t / RISE_S) * (-t / DECAY_S).exp() * rise((LENGTH_S - t) / DECAY_S);
        let wave = (std::f64::consts::TAU * hz * t).sin();
        *sample += (amplitude(PEAK_DB) * shape * wave) as f32;
    }
}
