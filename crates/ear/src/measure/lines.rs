//! The power of a note's harmonics and of the noise between them: spectra made once for all measures
//! that read them.

use std::collections::BTreeMap;

use crate::heard::{Heard, HeardNote};
use crate::signal::Transform;
use crate::{Samples, WhyNot};

/// Harmonics that are counted.
const COUNTED: usize = 24;
/// Periods in a window, at least; window sizes; most windows.
const PERIODS: f64 = 8.0;
/// Periods in a window where the note lasts: the gaps then lie far enough from the lines for a Hann
/// window's own skirts to fall below the noise of a clean tone.
const LONG_PERIODS: f64 = 32.0;
const SIZES: (usize, usize) = (2_048, 32_768);
const MOST_WINDOWS: usize = 8;
/// Bins on either side that belong to a harmonic, and that keep away from the gaps.
pub(super) const LINE: usize = 2;
pub(super) const GAP: usize = 3;
/// Share of the way to the next harmonic that the noise is kept away from a line.
pub(super) const GAP_SHARE: f64 = 0.35;

/// One window's powers: of each harmonic, and of noise as wide as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Powers {
    pub(super) harmonics: Vec<f64>,
    pub(super) noise: Vec<f64>,
    pub(super) bins_a_harmonic: f64,
    /// All power in the gaps.
    pub(super) gaps: f64,
    /// Sum over the harmonics of the power of hiss in one bin of their gaps.
    pub(super) hiss: f64,
}

/// The windows of a note's steady part, or why there are none.
pub type Lines = Result<Vec<Powers>, WhyNot>;

/// The lines of every note of a take; stretches where the recording is overloaded have none.
#[must_use]
pub fn lines(samples: &Samples, heard: &Heard, clipped: &[(f64, f64)]) -> Vec<Lines> {
    let mut spectra = Spectra::default();
    let each = heard.notes.iter().map(|note| {
        let (from, to) = note.steady_s;
        if clipped.iter().any(|(a, b)| *a < to && *b > from) {
            return Err(WhyNot::Clipped);
        }
        spectra.of_note(samples, note)
    });
    each.collect()
}

/// Transforms of the sizes that notes ask for, each made once.
#[derive(Debug, Default)]
struct Spectra {
    transforms: BTreeMap<usize, Transform>,
    power: Vec<f32>,
}

impl Spectra {
    fn of_note(&mut self, samples: &Samples, note: &HeardNote) -> Lines {
        let (from, to) = note.steady_s;
        let hz = note.hz;
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
        let transform = self
            .transforms
            .entry(size)
            .or_insert_with(|| Transform::new(size));
        let spacing = hz * size as f64 / samples.rate;
        // Above the last harmonic's gap nothing is read.
        let bins = ((COUNTED as f64 + 1.0) * spacing) as usize + GAP;
        self.power.resize(bins.min(transform.bins()), 0.0);
        let starts = (0..=sound.len() - size).step_by(hop.max(1));
        let windows = starts.take(MOST_WINDOWS).map(|start| {
            transform.look(sound, (start + size / 2) as isize);
            transform.powers_of(&mut self.power);
            powers(&self.power, spacing)
        });
        Ok(windows.collect())
    }
}

/// The powers of one spectrum, the fundamental at `spacing` bins.
fn powers(spectrum: &[f32], spacing: f64) -> Powers {
    let sum = |bins: &[f32]| bins.iter().map(|p| f64::from(*p)).sum::<f64>();
    let mut result = Powers {
        harmonics: Vec::new(),
        noise: Vec::new(),
        bins_a_harmonic: spacing,
        gaps: 0.0,
        hiss: 0.0,
    };
    let mut gap: Vec<f32> = Vec::new();
    for harmonic in 1..=COUNTED {
        let centre = spacing * harmonic as f64;
        let at = centre.round() as usize;
        let Some(line) = spectrum.get(at.saturating_sub(LINE)..at + LINE + 1) else {
            break;
        };
        // The gaps halfway to the neighbours, and of these the middle: a Hann line's skirts fall by
        // 18 dB for each doubling of the distance.
        let edge = |side: f64| (centre + side * spacing / 2.0).round() as usize;
        let near = GAP.max((GAP_SHARE * spacing) as usize);
        let below = (edge(-1.0), at.saturating_sub(near));
        let above = (at + near + 1, edge(1.0) + 1);
        gap.clear();
        for (from, to) in [below, above] {
            gap.extend_from_slice(spectrum.get(from..to).unwrap_or(&[]));
        }
        // Halfway gaps are shared with the neighbour, which counts the other half.
        let all = sum(&gap);
        result.gaps += all;
        let density = all / gap.len().max(1) as f64;
        // What another sound leaves there stands out of a few bins: the middle one tells the hiss.
        // Powers of noise are exponential: the median lies at ln 2 of the mean.
        let middle = gap.len() / 2;
        if middle < gap.len() {
            let (_, median, _) = gap.select_nth_unstable_by(middle, f32::total_cmp);
            result.hiss += f64::from(*median) / std::f64::consts::LN_2;
        }
        let noise = density * (2 * LINE + 1) as f64;
        result.harmonics.push((sum(line) - noise).max(0.0));
        result.noise.push(noise);
    }
    result
}
