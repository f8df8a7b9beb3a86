//! The sound of a note: levels of its partials, brightness, and the noise between them.

use super::lines::{GAP, GAP_SHARE, LINE, Lines, Powers};
use super::table::Definition;
use super::{View, stats};
use crate::{Measure, WhyNot};

/// Levels of the partials of the sound.
pub const PARTIALS: Definition = Definition {
    id: "partials_db",
    name: "partials 1 to 12",
    unit: "dB",
    what: "power of each harmonic of the fundamental against the sum of harmonics 1 to 12",
    window: "steady part, Hann windows of at least eight periods (32 where the note lasts), half \
             overlapped, at most eight",
    limits: "too short when no window fits; a harmonic less than 6 dB above the noise round it, or \
             above half the rate, is not given; not where the recording is overloaded",
    chosen_by: "eight periods leave bins between harmonics for the noise (a Hann line is four \
                wide); tests/measure_coverage.rs asks that the interval covers known harmonics \
                in noise",
};

/// Brightness.
pub const BRIGHTNESS: Definition = Definition {
    id: "brightness",
    name: "brightness",
    unit: "harmonics",
    what: "centroid of the power of harmonics 1 to 24 over the fundamental: 1 is a sine",
    window: PARTIALS.window,
    limits: PARTIALS.limits,
    chosen_by: "reasoning: 24 harmonics reach the top of the band for a middle trumpet note; not \
                yet by experiment",
};

/// Noise.
pub const NOISE: Definition = Definition {
    id: "noise_db",
    name: "harmonics to noise",
    unit: "dB",
    what: "power of harmonics 1 to 24 against the noise over the same band, taken from the gaps \
           between them",
    window: PARTIALS.window,
    limits: PARTIALS.limits,
    chosen_by: "gaps begin three bins or 35 % of the way to the next harmonic away, where a Hann \
                window is 31 dB down and falls 18 dB an octave (Harris 1978), in windows of 32 \
                periods where the note lasts; tests/measure_coverage.rs asks that the interval \
                covers known noise",
};

/// Harmonics that are levelled.
const LEVELLED: usize = 12;
/// A harmonic less than this above the noise is lost, as a power ratio (6 dB).
const LOST: f64 = 4.0;
/// Smallest uncertainty of a harmonic's level, dB.
const SMALLEST_DB: f64 = 0.05;

/// The sound of a note.
#[derive(Clone, Debug, PartialEq)]
pub struct Tone {
    /// Levels of harmonics 1 to 12.
    pub partials_db: Vec<Measure>,
    /// Centroid over the fundamental.
    pub brightness: Measure,
    /// Harmonics to noise.
    pub noise_db: Measure,
}

/// Measures all three from the same spectra.
#[must_use]
pub fn measure(view: &View<'_>) -> Tone {
    match view.lines {
        Ok(windows) => tone(windows),
        Err(why) => Tone {
            partials_db: vec![Measure::unknown(*why); LEVELLED],
            brightness: Measure::unknown(*why),
            noise_db: Measure::unknown(*why),
        },
    }
}

fn tone(windows: &[Powers]) -> Tone {
    let count = windows.len().max(1) as f64;
    // Half-overlapped Hann windows carry about this many independent looks (Welch 1967).
    let looks = 1.0 + (count - 1.0) * 0.9;
    let harmonics = windows.iter().map(|w| w.harmonics.len()).min().unwrap_or(0);
    let mean =
        |of: &dyn Fn(&Powers) -> Option<f64>| windows.iter().filter_map(of).sum::<f64>() / count;
    let power: Vec<f64> = (0..harmonics)
        .map(|h| mean(&|w| w.harmonics.get(h).copied()))
        .collect();
    let noise: Vec<f64> = (0..harmonics)
        .map(|h| mean(&|w| w.noise.get(h).copied()))
        .collect();
    let total: f64 = power.iter().take(LEVELLED).sum();
    if total <= 0.0 {
        return Tone {
            partials_db: vec![Measure::unknown(WhyNot::TooNoisy); LEVELLED],
            brightness: Measure::unknown(WhyNot::TooNoisy),
            noise_db: Measure::unknown(WhyNot::TooNoisy),
        };
    }
    let partials_db = (0..LEVELLED)
        .map(|h| {
            let (Some(p), Some(n)) = (power.get(h), noise.get(h)) else {
                return Measure::unknown(WhyNot::Absent);
            };
            if *p < LOST * n {
                return Measure::unknown(WhyNot::TooNoisy);
            }
            let levels: Vec<f64> = windows
                .iter()
                .filter_map(|w| w.harmonics.get(h))
                .map(|x| decibels(*x))
                .collect();
            let spread = stats::deviation(&levels).unwrap_or(0.0) / looks.sqrt();
            // A line in noise: the relative error of its power is sqrt(2 noise / line).
            let floor = 4.343 * (2.0 * n / p / looks).sqrt();
            Measure::known(decibels(p / total), spread.max(floor).max(SMALLEST_DB))
        })
        .collect();
    Tone {
        partials_db,
        brightness: brightness(windows, &noise, looks),
        noise_db: harmonics_to_noise(windows, &power, &noise, looks),
    }
}

fn brightness(windows: &[Powers], noise: &[f64], looks: f64) -> Measure {
    let centroid = |w: &Powers| {
        let heard = w.harmonics.iter().zip(noise).enumerate();
        let (mut weighted, mut total) = (0.0, 0.0);
        for (h, (p, n)) in heard {
            if *p >= LOST * n {
                weighted += (h + 1) as f64 * p;
                total += p;
            }
        }
        (total > 0.0).then(|| weighted / total)
    };
    let values: Vec<f64> = windows.iter().filter_map(centroid).collect();
    let Some(value) = stats::mean(&values) else {
        return Measure::unknown(WhyNot::TooNoisy);
    };
    let spread = stats::deviation(&values).unwrap_or(0.05 * value) / looks.sqrt();
    Measure::known(value, spread.max(0.002 * value))
}

fn harmonics_to_noise(windows: &[Powers], power: &[f64], noise: &[f64], looks: f64) -> Measure {
    let spacing = windows.first().map_or(0.0, |w| w.bins_a_harmonic);
    // Noise as wide as a harmonic's line, widened to the whole way to the next harmonic.
    let wide = spacing / (2 * LINE + 1) as f64;
    let (harmonic, hiss) = (power.iter().sum::<f64>(), noise.iter().sum::<f64>() * wide);
    if hiss <= 0.0 || harmonic <= 0.0 {
        return Measure::unknown(WhyNot::TooNoisy);
    }
    let value = decibels(harmonic / hiss);
    // A mean of m exponential powers is uncertain by 1 / sqrt(m) of itself.
    let near = (GAP as f64).max(GAP_SHARE * spacing);
    let gaps = (spacing - 2.0 * near).max(1.0) * noise.len() as f64 * looks;
    Measure::known(value, (4.343 / gaps.sqrt()).max(0.3))
}

/// Power between the harmonics against the power in them, dB: what another player, or an echo
/// of another note, leaves there. `None` when it can't be told.
#[must_use]
pub fn stray_db(lines: &Lines) -> Option<f64> {
    let windows = lines.as_ref().ok()?;
    let levels: Vec<f64> = windows
        .iter()
        .map(|w| {
            let harmonics: f64 = w.harmonics.iter().sum();
            let noise = w.hiss;
            let wide = (w.bins_a_harmonic - (2 * GAP) as f64).max(1.0);
            decibels((w.gaps - noise * wide).max(0.0) / harmonics.max(1e-30))
        })
        .collect();
    stats::median(&levels)
}

fn decibels(power: f64) -> f64 {
    10.0 * power.max(1e-30).log10()
}
