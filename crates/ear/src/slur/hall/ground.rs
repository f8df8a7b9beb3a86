//! What a band holds before any change is tried: noise, and the echoes of the notes before.

use num_complex::{Complex32, Complex64};

use crate::signal::LANES;
use crate::slur::hall::bands::{Band, Grain, HEARS_HZ, TOP_HZ, answer};
use crate::slur::hall::passage::Known;
use crate::slur::hall::process::{Cell, Covariance, Lanes};
use crate::thresholds as t;

/// A harmonic this near to a band is that band's own, hertz; one further off than the second leaks nothing
/// that counts.
const LEAKS_HZ: (f64, f64) = (25.0, 400.0);

/// What the grounds of all bands have in common.
pub(super) struct Before {
    /// How alike noise is by steps.
    overlaps: [f64; 3],
    /// Pitch of each note before, and the shares of its echo that have come since its beginning and its end.
    past: Vec<(f64, Vec<f32>, Vec<f32>)>,
}

impl Before {
    pub(super) fn new(known: &Known, times: &[f64], grain: Grain) -> Self {
        let sooner = |from: f64| known.field.sooner_at(times, from);
        let past = known.past.iter();
        Self {
            overlaps: [0, 1, 2].map(|steps| grain.overlap(steps)),
            past: past
                .map(|note| (note.hz, sooner(note.from_s), sooner(note.to_s)))
                .collect(),
        }
    }

    /// The ground of some bands, a lane each; `old` and `new` are the direct powers of the notes' harmonics. The notes
    /// before are taken to have been as loud at each frequency as the old one.
    pub(super) fn ground(
        &self,
        bands: &[Band],
        times: &[f64],
        known: &Known,
        old: &[f64],
        new: &[f64],
    ) -> Covariance {
        let mut values = vec![Cell::default(); times.len()];
        // A lane without a band holds nothing but noise of power 1, as likely as can be.
        let mut noise = [[0.0; LANES]; 3];
        noise[0] = [1.0; LANES];
        for (lane, band) in bands.iter().enumerate() {
            for (cell, value) in values.iter_mut().zip(&band.values) {
                cell.set(lane, *value);
            }
            let level = unexplained(band, known, old, new);
            for (noise, overlap) in noise.iter_mut().zip(self.overlaps) {
                if let Some(slot) = noise.get_mut(lane) {
                    *slot = (level * overlap) as f32;
                }
            }
        }
        let mut out = Covariance::new(&values);
        out.add_noise(&noise);
        for (hz, begun, ended) in &self.past {
            let loudness = |order: usize| envelope(old, order as f64 * hz / known.old_hz);
            let highest = (TOP_HZ / hz.max(1.0)) as usize;
            for tone in tones(bands, times, (*hz, highest), known.field.share, loudness) {
                out.add_begun(&tone.power, &tone.turns, begun, 0);
                out.take_ended(&tone.power, &tone.turns, (begun, ended), 0);
            }
        }
        out
    }
}

/// A note's echo in each of some bands: one of its harmonics that are heard there.
#[derive(Clone, Debug)]
pub(super) struct Tone {
    /// Power of its echo when it has sounded for long.
    pub(super) power: Lanes,
    /// How it turns against the band, at every value.
    pub(super) turns: Vec<Cell>,
}

/// The echoes, `share` times as strong as the direct sound, of the harmonics of a pitch up to the `highest` in some
/// bands. Where several are heard in a band, each is another tone.
pub(super) fn tones(
    bands: &[Band],
    times: &[f64],
    (hz, highest): (f64, usize),
    share: f64,
    power: impl Fn(usize) -> f64,
) -> Vec<Tone> {
    let mut out: Vec<Tone> = Vec::new();
    for (lane, band) in bands.iter().enumerate() {
        let first = ((band.hz - HEARS_HZ) / hz).ceil().max(1.0) as usize;
        let last = (((band.hz + HEARS_HZ) / hz).floor() as usize).min(highest);
        for (slot, order) in (first..=last).enumerate() {
            if slot == out.len() {
                out.push(Tone {
                    power: Lanes::default(),
                    turns: vec![Cell::default(); times.len()],
                });
            }
            let Some(tone) = out.get_mut(slot) else {
                continue;
            };
            let away = order as f64 * hz - band.hz;
            if let Some(slot) = tone.power.get_mut(lane) {
                *slot = (share * power(order) * answer(away).powi(2)) as f32;
            }
            for (cell, at) in tone.turns.iter_mut().zip(times) {
                let z = Complex64::cis(std::f64::consts::TAU * (away * at).fract());
                cell.set(lane, Complex32::new(z.re as f32, z.im as f32));
            }
        }
    }
    out
}

/// Power that nothing here explains: a share of the band's own, and what leaks into it from the loudest
/// harmonic near it, moving as it does.
fn unexplained(band: &Band, known: &Known, old: &[f64], new: &[f64]) -> f64 {
    let leaking = |hz: f64, powers: &[f64]| {
        let each = powers.iter().zip(1..);
        let near = each.filter(|(_, n)| {
            let away = (f64::from(*n) * hz - band.hz).abs();
            away > LEAKS_HZ.0 && away < LEAKS_HZ.1
        });
        near.map(|(power, _)| *power).fold(0.0, f64::max)
    };
    let loudest = leaking(known.old_hz, old).max(leaking(known.new_hz, new));
    let with_echo = 1.0 + known.field.share;
    t::HALL_UNEXPLAINED * band.power + t::HALL_LEAK * with_echo * loudest + 1e-12
}

/// Power of the harmonics at a place between them, in harmonics' numbers.
fn envelope(powers: &[f64], place: f64) -> f64 {
    let place = (place - 1.0).max(0.0);
    let last = powers.len().saturating_sub(1);
    let at = |i: usize| powers.get(i.min(last)).copied().unwrap_or(0.0);
    let low = at(place as usize);
    low + (at(place as usize + 1) - low) * place.fract()
}
