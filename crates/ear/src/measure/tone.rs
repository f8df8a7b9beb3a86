//! The sound of a note: levels of its partials, brightness, and the noise between them.

use realfft::RealFftPlanner;

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

/// Harmonics that are levelled and that are counted.
const LEVELLED: usize = 12;
const COUNTED: usize = 24;
/// Periods in a window, at least; window sizes; most windows.
const PERIODS: f64 = 8.0;
/// Periods in a window where the note lasts: the gaps then lie far enough from the lines for a Hann
/// window's own skirts to fall below the noise of a clean tone.
const LONG_PERIODS: f64 = 32.0;
const SIZES: (usize, usize) = (2_048, 32_768);
const MOST_WINDOWS: usize = 8;
/// Bins on either side that belong to a harmonic, and that keep away from the gaps.
const LINE: usize = 2;
const GAP: usize = 3;
/// Share of the way to the next harmonic that the noise is kept away from a line.
const GAP_SHARE: f64 = 0.35;
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
    match windows(view) {
        Ok(windows) => tone(&windows),
        Err(why) => Tone {
            partials_db: vec![Measure::unknown(why); LEVELLED],
            brightness: Measure::unknown(why),
            noise_db: Measure::unknown(why),
        },
    }
}

/// One window's powers: of each harmonic, and of noise as wide as one.
struct Powers {
    harmonics: Vec<f64>,
    noise: Vec<f64>,
    bins_a_harmonic: f64,
    /// All power in the gaps.
    gaps: f64,
    /// Sum over the harmonics of the power of hiss in one bin of their gaps.
    hiss: f64,
}

fn windows(view: &View<'_>) -> Result<Vec<Powers>, WhyNot> {
    let (from, to) = view.note.steady_s;
    if view.clipped(from, to) {
        return Err(WhyNot::Clipped);
    }
    let samples = view.take.samples;
    let hz = view.note.hz;
    if hz <= 0.0 || samples.rate <= 0.0 {
        return Err(WhyNot::Unsettled);
    }
    let sound = samples.between(from, to);
    let size_of = |periods: f64| {
        let wanted = (periods * samples.rate / hz).ceil() as usize;
        wanted.next_power_of_two().clamp(SIZES.0, SIZES.1)
    };
    let size = Some(size_of(LONG_PERIODS))
        .filter(|long| sound.len() >= *long)
        .unwrap_or_else(|| size_of(PERIODS));
    if sound.len() < size {
        return Err(WhyNot::TooShort);
    }
    let hop = (size / 2).max((sound.len() - size) / (MOST_WINDOWS - 1).max(1));
    let fft = RealFftPlanner::<f32>::new().plan_fft_forward(size);
    let (mut input, mut output) = (fft.make_input_vec(), fft.make_output_vec());
    let hann = |n: usize| 0.5 - 0.5 * (std::f32::consts::TAU * n as f32 / size as f32).cos();
    let window: Vec<f32> = (0..size).map(hann).collect();
    let bin_hz = samples.rate / size as f64;
    let mut found = Vec::new();
    for piece in sound.windows(size).step_by(hop.max(1)).take(MOST_WINDOWS) {
        for ((slot, x), w) in input.iter_mut().zip(piece).zip(&window) {
            *slot = x * w;
        }
        if fft.process(&mut input, &mut output).is_ok() {
            let power: Vec<f64> = output.iter().map(|c| f64::from(c.norm_sqr())).collect();
            found.push(powers(&power, hz / bin_hz));
        }
    }
    Ok(found)
}

/// The powers of one spectrum, the fundamental at `spacing` bins.
fn powers(spectrum: &[f64], spacing: f64) -> Powers {
    let sum = |from: usize, to: usize| spectrum.get(from..to).map(|s| s.iter().sum::<f64>());
    let mut result = Powers {
        harmonics: Vec::new(),
        noise: Vec::new(),
        bins_a_harmonic: spacing,
        gaps: 0.0,
        hiss: 0.0,
    };
    for harmonic in 1..=COUNTED {
        let centre = spacing * harmonic as f64;
        let at = centre.round() as usize;
        let Some(line) = sum(at.saturating_sub(LINE), at + LINE + 1) else {
            break;
        };
        // The gaps halfway to the neighbours, and of these the middle: a Hann line's skirts fall by
        // 18 dB for each doubling of the distance.
        let edge = |side: f64| (centre + side * spacing / 2.0).round() as usize;
        let near = GAP.max((GAP_SHARE * spacing) as usize);
        let below = (edge(-1.0), at.saturating_sub(near));
        let above = (at + near + 1, edge(1.0) + 1);
        let mut gap: Vec<f64> = [below, above]
            .into_iter()
            .filter_map(|(from, to)| spectrum.get(from..to))
            .flatten()
            .copied()
            .collect();
        // Halfway gaps are shared with the neighbour, which counts the other half.
        result.gaps += gap.iter().sum::<f64>();
        let density = stats::mean(&gap).unwrap_or(0.0);
        // What another sound leaves there stands out of a few bins: the middle one tells the hiss.
        // Powers of noise are exponential: the median lies at ln 2 of the mean.
        gap.sort_by(f64::total_cmp);
        result.hiss += gap.get(gap.len() / 2).copied().unwrap_or(0.0) / std::f64::consts::LN_2;
        let noise = density * (2 * LINE + 1) as f64;
        result.harmonics.push((line - noise).max(0.0));
        result.noise.push(noise);
    }
    result
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
pub fn stray_db(view: &View<'_>) -> Option<f64> {
    let windows = windows(view).ok()?;
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
