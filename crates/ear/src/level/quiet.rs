//! The pieces of a take in which nobody plays, and the spectrum of what is left there.

use crate::Samples;
use crate::signal::{Transform, energy};

/// Lengths of piece that are tried, seconds: the long one tells mains lines apart, the short one
/// still fits between quick notes.
const PIECES_S: [f64; 2] = [0.7, 0.18];
/// A quiet piece lies at least this far below the loud part of the take, dB.
const BELOW_PLAYING_DB: f64 = 20.0;
/// Below this nobody plays at all, dB against full scale.
const NOBODY_DB: f64 = -60.0;
/// Most and fewest pieces that are averaged.
const PIECES: (usize, usize) = (8, 2);
/// Bins on either side that belong to a line (Hann window), and that its surroundings reach to.
const LINE_BINS: usize = 2;
const AROUND_BINS: usize = 12;

/// The quiet pieces of a take.
#[derive(Clone, Debug)]
pub struct Quiet {
    /// Mean-square of each bin, against full scale 1 (sums to the mean square of the pieces).
    pub power: Vec<f64>,
    /// Width of a bin, hertz.
    pub bin_hz: f64,
    /// Level of the pieces, dB against full scale.
    pub level_db: f64,
    /// Level of the loud part of the take (95th percentile of the pieces), dB.
    pub playing_db: f64,
    /// How many pieces were averaged.
    pub count: usize,
    /// Spread of the pieces' levels (standard deviation), dB.
    pub spread_db: f64,
}

/// Finds the quiet pieces and averages their spectra; `None` when there are fewer than two.
#[must_use]
pub fn spectrum(samples: &Samples) -> Option<Quiet> {
    PIECES_S
        .into_iter()
        .find_map(|piece_s| with_pieces(samples, piece_s))
}

fn with_pieces(samples: &Samples, piece_s: f64) -> Option<Quiet> {
    let length = ((piece_s * samples.rate) as usize).checked_next_power_of_two()?;
    if samples.data.len() < length || length < 64 {
        return None;
    }
    // Pieces overlap by half: each half is summed once.
    let half = length / 2;
    let halves: Vec<f64> = samples.data.chunks_exact(half).map(energy).collect();
    let mut levels: Vec<(f64, usize)> = halves
        .windows(2)
        .enumerate()
        .map(|(i, both)| (db(both.iter().sum::<f64>() / length as f64), i))
        .collect();
    levels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let loud = (levels.len() * 95 / 100).min(levels.len() - 1);
    let playing_db = levels.get(loud)?.0;
    let ceiling = if playing_db < NOBODY_DB {
        f64::INFINITY
    } else {
        playing_db - BELOW_PLAYING_DB
    };
    // Digital silence says nothing about the room.
    levels.retain(|(level, _)| *level < ceiling && *level > -150.0);
    levels.truncate(PIECES.0);
    if levels.len() < PIECES.1 {
        return None;
    }
    let count = levels.len();
    let mean = levels.iter().map(|l| l.0).sum::<f64>() / count as f64;
    let spread_db =
        (levels.iter().map(|l| (l.0 - mean).powi(2)).sum::<f64>() / (count - 1) as f64).sqrt();
    let middles: Vec<usize> = levels.iter().map(|(_, i)| (i + 1) * half).collect();
    let power = average(&samples.data, &middles, length);
    Some(Quiet {
        level_db: db(power.iter().sum()),
        power,
        bin_hz: samples.rate / length as f64,
        playing_db,
        count,
        spread_db,
    })
}

/// Mean Hann-windowed power spectrum of the pieces round some samples, scaled so that its sum is
/// the mean square.
fn average(sound: &[f32], middles: &[usize], length: usize) -> Vec<f64> {
    let mut transform = Transform::new(length);
    let mut bins = vec![0.0; transform.bins()];
    let mut power = vec![0.0; bins.len()];
    // A Hann window's squares sum up to three eighths of its length.
    let gain = 0.375 * (length as f64).powi(2) * middles.len().max(1) as f64;
    for middle in middles {
        transform.look(sound, *middle as isize);
        transform.powers_of(&mut bins);
        for (bin, (sum, value)) in power.iter_mut().zip(&bins).enumerate() {
            let sides = if bin == 0 { 1.0 } else { 2.0 };
            *sum += sides * f64::from(*value) / gain;
        }
    }
    power
}

impl Quiet {
    fn bins(&self, hz: f64, reach: usize) -> (usize, &[f64]) {
        let centre = (hz / self.bin_hz).round() as usize;
        let from = centre.saturating_sub(reach).min(self.power.len());
        let to = (centre + reach + 1).min(self.power.len());
        (from, self.power.get(from..to).unwrap_or(&[]))
    }

    /// Power of a line, its window's width included.
    #[must_use]
    pub fn line(&self, hz: f64) -> f64 {
        self.bins(hz, LINE_BINS).1.iter().sum()
    }

    /// Median power of as many bins as a line has, in the surroundings of a frequency.
    #[must_use]
    pub fn around(&self, hz: f64) -> Option<f64> {
        let centre = (hz / self.bin_hz).round() as usize;
        let (from, bins) = self.bins(hz, AROUND_BINS);
        let mut near: Vec<f64> = bins
            .iter()
            .enumerate()
            .filter(|(i, _)| (from + i).abs_diff(centre) > LINE_BINS)
            .map(|(_, p)| *p)
            .collect();
        near.sort_by(f64::total_cmp);
        Some(near.get(near.len() / 2)? * (2 * LINE_BINS + 1) as f64)
    }

    /// A-weighted level, dB against full scale.
    #[must_use]
    pub fn a_weighted_db(&self) -> f64 {
        let weighted = |(bin, p): (usize, &f64)| {
            let hz = bin as f64 * self.bin_hz;
            let gain_db = if bin == 0 {
                -200.0
            } else {
                super::a_weighting_db(hz)
            };
            p * 10.0_f64.powf(gain_db / 10.0)
        };
        db(self.power.iter().enumerate().map(weighted).sum())
    }

    /// Level between two frequencies, dB against full scale.
    #[must_use]
    pub fn band_db(&self, from_hz: f64, to_hz: f64) -> f64 {
        let place = |hz: f64| ((hz / self.bin_hz).round() as usize).min(self.power.len());
        let (from, to) = (place(from_hz), place(to_hz));
        db(self
            .power
            .get(from..to.max(from))
            .map_or(0.0, |p| p.iter().sum()))
    }
}

fn db(power: f64) -> f64 {
    10.0 * power.max(1e-20).log10()
}
