//! What a band holds before any change is tried: noise, and the echoes of the notes before.

use num_complex::{Complex32, Complex64};

use crate::slur::hall::bands::{Band, HEARS_HZ, TOP_HZ, answer, overlap};
use crate::slur::hall::passage::Known;
use crate::slur::hall::process::Covariance;
use crate::thresholds as t;

/// A harmonic this near to a band is that band's own, hertz; one further off than the second leaks nothing
/// that counts.
const LEAKS_HZ: (f64, f64) = (25.0, 400.0);

/// The ground of a band; `old` and `new` are the direct powers of the notes' harmonics. The notes before are
/// taken to have been as loud at each frequency as the old one.
pub(super) fn ground(
    band: &Band,
    times: &[f64],
    known: &Known,
    old: &[f64],
    new: &[f64],
) -> Covariance {
    let echoes: Vec<Echo> = known
        .past
        .iter()
        .flat_map(|note| {
            let orders = 1..=(TOP_HZ / note.hz.max(1.0)) as usize;
            orders.map(move |n| (note, n as f64 * note.hz))
        })
        .filter(|(_, hz)| (hz - band.hz).abs() < HEARS_HZ)
        .map(|(note, hz)| Echo {
            sounded: (note.from_s, note.to_s),
            power: envelope(old, hz / known.old_hz) * answer(hz - band.hz).powi(2),
            turns: turns(times, hz - band.hz),
        })
        .collect();
    let level = unexplained(band, known, old, new);
    let noise: Vec<f64> = (0..3).map(|steps| level * overlap(steps)).collect();
    let mut out = Covariance::new(times.len());
    for (row, (re, im)) in out.rows().enumerate() {
        for (column, (re, im)) in re.iter_mut().zip(im).enumerate() {
            let (Some(late), Some(early)) = (times.get(row), times.get(column)) else {
                continue;
            };
            let flat = noise.get(row - column).copied().unwrap_or(0.0);
            let mut sum = Complex64::new(flat, 0.0);
            for echo in &echoes {
                let alike = echo.power * known.field.covariance(echo.sounded, *early, *late);
                if let (Some(a), Some(b)) = (echo.turns.get(row), echo.turns.get(column)) {
                    let turn = a * b.conj();
                    sum += Complex64::new(f64::from(turn.re), f64::from(turn.im)) * alike;
                }
            }
            (*re, *im) = (sum.re as f32, sum.im as f32);
        }
    }
    out
}

/// The echo of one harmonic of a note before.
struct Echo {
    sounded: (f64, f64),
    power: f64,
    turns: Vec<Complex32>,
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
