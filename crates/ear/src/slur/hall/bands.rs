//! A passage seen through narrow bands, each round a harmonic of one of its two notes.

use num_complex::{Complex32, Complex64};

use crate::pitch::phasor;
use crate::slur::hall::passage::Stretch;

/// Length of the Hann window that a band is seen through, seconds.
pub(super) const WINDOW_S: f64 = 0.024;
/// Fine steps to a window.
pub(super) const FINE: usize = 12;
/// Highest frequency looked at, hertz.
pub(super) const TOP_HZ: f64 = 3_000.0;
/// A window hears nothing further away than this, hertz: its second zero is at 83 Hz, its side lobes beyond
/// lie 31 dB down.
pub(super) const HEARS_HZ: f64 = 92.0;
/// Two bands this near are one, hertz.
const SAME_HZ: f64 = 25.0;
/// Bands of each pitch that may be caught.
pub(super) const BETWEEN: usize = 3;
/// Power that a band has at least against the loudest.
const LEAST_POWER: f64 = 1e-3;
/// Fewest fine steps of values that tell anything.
const LEAST: usize = 48;

/// How closely a passage is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// A value every third of a window: they are then as good as independent, and tell all.
    Close,
    /// Three values to two windows: enough to tell places apart.
    Coarse,
}

impl Grain {
    /// Fine steps, of which [`FINE`] are a window, from one value of a band to the next.
    pub(super) fn hop(self) -> usize {
        match self {
            Self::Close => 4,
            Self::Coarse => 8,
        }
    }

    /// Seconds from one value to the next.
    pub(super) fn step_s(self) -> f64 {
        self.hop() as f64 * WINDOW_S / FINE as f64
    }

    /// How alike noise is in two values so many steps apart: the overlap of their windows.
    pub(super) fn overlap(self, steps: usize) -> f64 {
        const PLACES: usize = 20;
        let shift = (steps * self.hop() * PLACES).min(FINE * PLACES);
        let window = |place: usize| {
            let turn = (place as f64 + 0.5) / (FINE * PLACES) as f64;
            1.0 - (std::f64::consts::TAU * turn).cos()
        };
        let sum = |shift: usize| -> f64 {
            (shift..FINE * PLACES)
                .map(|p| window(p) * window(p - shift))
                .sum()
        };
        sum(shift) / sum(0)
    }
}

/// The sound of one band.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub(super) hz: f64,
    pub(super) values: Vec<Complex32>,
    /// Mean power of the values.
    pub(super) power: f64,
}

/// The two notes' harmonics in a passage.
#[derive(Clone, Debug)]
pub(super) struct Bands {
    pub(super) bands: Vec<Band>,
    /// Time of every value, seconds.
    pub(super) times: Vec<f64>,
    /// Mean power of each harmonic of the old note in the first third, of the new one in the last: of both so many
    /// that none is left out that comes below [`TOP_HZ`] on the way.
    pub(super) old: Vec<f64>,
    pub(super) new: Vec<f64>,
}

impl Bands {
    /// The loudest `most` bands of a stretch, and those round the pitches of `between`; `None` when it is too
    /// short.
    pub(super) fn new(
        stretch: Stretch<'_>,
        (old_hz, new_hz): (f64, f64),
        grain: Grain,
        most: usize,
        between: &[f64],
    ) -> Option<Self> {
        let Stretch {
            sound,
            rate,
            start_s,
        } = stretch;
        let size = (WINDOW_S * rate).round() as usize;
        let step = (grain.step_s() * rate).round();
        let highest_hz = 0.4 * rate;
        let top_hz = TOP_HZ.min(highest_hz);
        let rows = |hz: f64, most: usize| {
            let count = ((highest_hz / hz) as usize).clamp(1, most.max(1));
            let orders: Vec<usize> = (1..=count).collect();
            phasor::phasors(sound, |_| hz / rate, &orders, size, step)
        };
        let harmonics = (top_hz / old_hz.min(new_hz)) as usize;
        let (old_rows, new_rows) = (rows(old_hz, harmonics), rows(new_hz, harmonics));
        let count = old_rows.first().map_or(0, Vec::len);
        if count * grain.hop() < LEAST {
            return None;
        }
        let third = count / 3;
        let mean = |values: &[Complex64]| {
            values.iter().map(Complex64::norm_sqr).sum::<f64>() / values.len().max(1) as f64
        };
        let first = |row: &Vec<Complex64>| mean(row.get(..third).unwrap_or(&[]));
        let last = |row: &Vec<Complex64>| mean(row.get(count - third..).unwrap_or(&[]));
        // What is too high for the rate is taken to be as strong as the highest that is not.
        let filled = |mut powers: Vec<f64>| {
            let highest = powers.last().copied().unwrap_or(0.0);
            powers.resize(harmonics.max(powers.len()), highest);
            powers
        };
        let (old, new) = (
            filled(old_rows.iter().map(first).collect()),
            filled(new_rows.iter().map(last).collect()),
        );
        let named = |hz: f64, rows: Vec<Vec<Complex64>>| {
            let each = rows.into_iter().enumerate();
            each.map(move |(i, values)| Band {
                hz: (i + 1) as f64 * hz,
                power: mean(&values),
                values: values
                    .iter()
                    .map(|z| Complex32::new(z.re as f32, z.im as f32))
                    .collect(),
            })
            .filter(move |band| band.hz <= top_hz)
        };
        let mut all: Vec<Band> = named(old_hz, old_rows)
            .chain(named(new_hz, new_rows))
            .collect();
        all.sort_by(|a, b| a.hz.total_cmp(&b.hz));
        all.dedup_by(|later, kept| later.hz - kept.hz < SAME_HZ);
        all.sort_by(|a, b| b.power.total_cmp(&a.power));
        all.truncate(most);
        let loudest = all.first().map_or(0.0, |band| band.power);
        all.retain(|band| band.power > LEAST_POWER * loudest && band.power > 0.0);
        for hz in between {
            all.extend(named(*hz, rows(*hz, BETWEEN)));
        }
        let time = |k: usize| start_s + ((k as f64 * step).round() + size as f64 / 2.0) / rate;
        Some(Self {
            bands: all,
            times: (0..count).map(time).collect(),
            old,
            new,
        })
    }
}

/// How a band answers to a tone so many hertz away: the transform of its Hann window.
pub(super) fn answer(away_hz: f64) -> f64 {
    let x = away_hz * WINDOW_S;
    if x.abs() < 1e-6 {
        return 1.0;
    }
    if (x.abs() - 1.0).abs() < 1e-6 {
        return 0.5;
    }
    let turn = std::f64::consts::PI * x;
    turn.sin() / (turn * (1.0 - x * x))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tone_beside_a_band_is_heard_as_the_window_answers() {
        let rate = 22_050.0;
        let wave =
            |hz: f64| move |n: usize| (std::f64::consts::TAU * hz * n as f64 / rate).cos() as f32;
        for away in [0.0, 20.0, 41.0, 60.0] {
            let sound: Vec<f32> = (0..6_000).map(wave(1_000.0 + away)).collect();
            let stretch = Stretch {
                sound: &sound,
                rate,
                start_s: 0.0,
            };
            let bands = Bands::new(stretch, (1_000.0, 1_000.0), Grain::Close, 8, &[]).unwrap();
            let band = bands.bands.iter().find(|b| b.hz == 1_000.0).unwrap();
            let found = band.power.sqrt();
            assert!((found - answer(away)).abs() < 0.01, "{away}: {found}");
        }
        for grain in [Grain::Close, Grain::Coarse] {
            assert!((grain.overlap(0) - 1.0).abs() < 1e-12);
            assert_eq!(grain.overlap(3), 0.0);
        }
    }
}
