//! The microphone and what stands behind it: bandwidth, automatic gain, noise gates.

use super::Microphone;
use crate::level::quiet::Quiet;
use crate::measure::{Take, stats};
use crate::signal::Transform;
use crate::{Measure, WhyNot};

/// Nothing above this is a narrow connection, hertz: wideband telephony ends at 7 kHz.
pub(super) const NARROW_HZ: f64 = 7_500.0;
/// A rise of the noise beyond this is an automatic gain, dB.
pub(super) const PUMPS_DB: f64 = 6.0;
/// The edge of the band is where the long spectrum falls this far below the octave beneath, dB.
const EDGE_DB: f64 = 30.0;
/// Size of the windows of the long spectrum.
const SIZE: usize = 4_096;
/// Most windows: third octaves hold 10 bins and more of each.
const MOST: usize = 120;
/// Rest needed after a note to watch the noise, and the pieces compared, seconds.
const REST_S: f64 = 1.0;
const PIECE_S: f64 = 0.2;
/// Share of rests that must be digital silence for a gate.
const GATED: f64 = 0.5;
/// Digital silence, dB against full scale (not weighted level of a frame).
const DIGITAL_DB: f32 = -110.0;

/// Checks the microphone by a take.
pub(super) fn check(take: &Take<'_>, quiet: Option<&Quiet>) -> Microphone {
    Microphone {
        top_hz: top(take),
        bottom_hz: quiet.map_or(Measure::unknown(WhyNot::TooFew), bottom),
        pumping_db: pumping(take),
        gated: gated(take),
    }
}

/// Highest frequency that carries sound: the long spectrum's last steep edge.
fn top(take: &Take<'_>) -> Measure {
    let samples = take.samples;
    let few = Measure::unknown(WhyNot::TooFew);
    if samples.data.len() < 4 * SIZE {
        return Measure::unknown(WhyNot::TooShort);
    }
    let mut transform = Transform::new(SIZE);
    let mut bins = vec![0.0; transform.bins()];
    let mut power = vec![0.0_f64; bins.len()];
    let hop = (samples.data.len() / MOST).max(SIZE);
    for start in (0..=samples.data.len() - SIZE).step_by(hop) {
        transform.look(&samples.data, (start + SIZE / 2) as isize);
        transform.powers_of(&mut bins);
        for (sum, bin) in power.iter_mut().zip(&bins) {
            *sum += f64::from(*bin);
        }
    }
    let bin_hz = samples.rate / SIZE as f64;
    // Third-octave steps downward from half the rate.
    let level = |hz: f64| {
        let (from, to) = (
            (hz / 1.122 / bin_hz) as usize,
            (hz * 1.122 / bin_hz) as usize,
        );
        let band = power.get(from..to.min(power.len()))?;
        let density = band.iter().sum::<f64>() / band.len().max(1) as f64;
        Some(10.0 * density.max(1e-30).log10())
    };
    let mut hz = samples.rate / 2.0 / 1.13;
    while hz > 1_000.0 {
        let (Some(here), Some(below)) = (level(hz), level(hz / 1.26)) else {
            return few;
        };
        if below - here > EDGE_DB {
            hz /= 1.26;
            return Measure::known(hz, 0.12 * hz);
        }
        hz /= 1.26;
    }
    Measure::known(samples.rate / 2.0, 0.12 * samples.rate / 2.0)
}

/// Lowest frequency the background still has: room noise grows towards low frequencies, so a fall
/// of the background there is the microphone's.
fn bottom(quiet: &Quiet) -> Measure {
    let mut hz = 250.0;
    while hz > 25.0 {
        let (here, above) = (quiet.band_db(hz / 1.41, hz), quiet.band_db(hz, hz * 1.41));
        if above - here > 12.0 {
            return Measure::known(hz, 0.2 * hz);
        }
        hz /= 1.41;
    }
    Measure::known(25.0, 5.0)
}

/// How much louder the noise is late in a rest than early, after the echo has gone.
fn pumping(take: &Take<'_>) -> Measure {
    let notes = &take.heard.notes;
    let rises: Vec<f64> = notes
        .iter()
        .enumerate()
        .filter_map(|(i, note)| {
            let end = notes
                .get(i + 1)
                .map_or(take.heard.seconds, |next| next.onset_s);
            if end - note.offset_s < REST_S {
                return None;
            }
            let late = take.k.level_db(end - PIECE_S - 0.05, end - 0.05)?;
            let quietest = take
                .k
                .levels(note.offset_s, end - PIECE_S, 0.1)
                .fold(f64::INFINITY, f64::min);
            (late > -110.0 && quietest > -110.0).then_some(late - quietest)
        })
        .collect();
    match stats::median(&rises) {
        Some(value) if rises.len() >= 2 => {
            let spread = stats::robust_deviation(&rises).unwrap_or(0.0);
            Measure::known(value, (spread / (rises.len() as f64).sqrt()).max(0.5))
        }
        _ => Measure::unknown(WhyNot::TooFew),
    }
}

/// True when most rests end in digital silence although the take has noise elsewhere.
fn gated(take: &Take<'_>) -> bool {
    let notes = &take.heard.notes;
    let (mut rests, mut silent) = (0.0, 0.0);
    for (i, note) in notes.iter().enumerate() {
        let end = notes
            .get(i + 1)
            .map_or(take.heard.seconds, |next| next.onset_s);
        if end - note.offset_s < REST_S {
            continue;
        }
        let (_, frames) = take.heard.track.between(end - 0.3, end - 0.1);
        rests += 1.0;
        if !frames.is_empty() && frames.iter().all(|f| f.level_db < DIGITAL_DB) {
            silent += 1.0;
        }
    }
    rests >= 2.0 && silent / rests > GATED
}
