//! What a band holds before any change is tried: noise, and the echoes of the notes before.

use num_complex::{Complex32, Complex64};

use crate::slur::hall::bands::{Band, Grain, HEARS_HZ, TOP_HZ, answer};
use crate::slur::hall::passage::Known;
use crate::slur::hall::process::{Covariance, Row};
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

    /// The ground of a band; `old` and `new` are the direct powers of the notes' harmonics. The notes before
    /// are taken to have been as loud at each frequency as the old one.
    pub(super) fn ground(
        &self,
        band: &Band,
        times: &[f64],
        known: &Known,
        old: &[f64],
        new: &[f64],
    ) -> Covariance {
        let level = unexplained(band, known, old, new);
        let noise = self.overlaps.map(|overlap| (level * overlap) as f32);
        let mut out = Covariance::new(&band.values);
        let count = band.values.len();
        for early in 0..count {
            for (late, level) in (early..count).zip(noise) {
                out.add(early, late, level.into());
            }
        }
        for (note_hz, begun, ended) in &self.past {
            for order in 1..=(TOP_HZ / note_hz.max(1.0)) as usize {
                let hz = order as f64 * note_hz;
                let away = hz - band.hz;
                if away.abs() < HEARS_HZ {
                    let power = envelope(old, hz / known.old_hz) * answer(away).powi(2);
                    let turns = Row::of(turns(times, away), count);
                    let power = (known.field.share * power) as f32;
                    out.add_begun(power, &turns, begun, 0);
                    out.take_ended(power, &turns, (begun, ended), 0);
                }
            }
        }
        out
    }
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

/// How a tone turns at some times.
pub(super) fn turns(times: &[f64], hz: f64) -> Vec<Complex32> {
    let each = times.iter().map(|at| {
        let z = Complex64::cis(std::f64::consts::TAU * (hz * at).fract());
        Complex32::new(z.re as f32, z.im as f32)
    });
    each.collect()
}
