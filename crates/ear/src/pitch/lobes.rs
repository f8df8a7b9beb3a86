//! The kernels of a window: weights from a bin on, packed one after the other.

use crate::signal::{LANES, dot};

/// Harmonics that a kernel has lobes at.
const HARMONICS: [f64; 13] = [1., 2., 3., 5., 7., 11., 13., 17., 19., 23., 29., 31., 37.];
/// One stretch of a kernel: how many weights stand in the bank, and the bin of the first.
#[derive(Clone, Copy, Debug)]
struct Lobe {
    from: usize,
    length: usize,
}

/// The kernel of one pitch.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kernel {
    /// Grid index.
    pub(super) pitch: usize,
    /// Share of this window in the pitch's salience (the rest is the next window's).
    pub(super) share: f32,
    /// How many of the bank's lobes are its own.
    lobes: usize,
}

/// All kernels of a window. Each lobe fills whole vector registers.
#[derive(Clone, Debug, Default)]
pub(super) struct Bank {
    kernels: Vec<Kernel>,
    lobes: Vec<Lobe>,
    weights: Vec<f32>,
}

impl Bank {
    /// Adds the kernel of a pitch; bins are `step` hertz apart and count for their `measure`.
    pub(super) fn add(&mut self, pitch: usize, share: f32, hz: f64, step: f64, measure: &[f32]) {
        let own = lobes(hz, step, measure);
        self.kernels.push(Kernel {
            pitch,
            share,
            lobes: own.len(),
        });
        for (from, mut weights) in own {
            weights.resize(weights.len().next_multiple_of(LANES), 0.0);
            self.lobes.push(Lobe {
                from,
                length: weights.len(),
            });
            self.weights.extend(weights);
        }
    }

    /// Tells of each kernel the sum of its weights times the values of their bins. There must be
    /// [`LANES`] values more than bins, or the last weights are left out.
    #[inline(always)]
    pub(super) fn explain(&self, values: &[f32], mut tell: impl FnMut(&Kernel, f32)) {
        let (mut lobes, mut weights) = (self.lobes.as_slice(), self.weights.as_slice());
        for kernel in &self.kernels {
            let mut sum = 0.0;
            let (own, others) = lobes.split_at(kernel.lobes.min(lobes.len()));
            for lobe in own {
                let (here, after) = weights.split_at(lobe.length.min(weights.len()));
                sum += dot(values.get(lobe.from..).unwrap_or(&[]), here);
                weights = after;
            }
            lobes = others;
            tell(kernel, sum);
        }
    }
}

/// The lobes of the kernel of a pitch: first bin and weights.
fn lobes(hz: f64, step: f64, measure: &[f32]) -> Vec<(usize, Vec<f32>)> {
    // Weight of a place `q` (in harmonics): lobes of the first and the prime harmonics.
    let weight = |q: f64| -> f64 {
        let share: f64 = HARMONICS
            .iter()
            .map(|p| match (q - p).abs() {
                away if away < 0.25 => 1.0,
                away if away < 0.75 => 0.5,
                _ => 0.0,
            })
            .sum();
        // Most places lie in no lobe.
        if share == 0.0 {
            return 0.0;
        }
        share * (std::f64::consts::TAU * q).cos()
    };
    let last = HARMONICS.last().copied().unwrap_or(1.0) + 1.0;
    let measure = measure
        .get(..((last * hz / step) as usize).min(measure.len()))
        .unwrap_or(measure);
    let raw: Vec<f64> = measure
        .iter()
        .enumerate()
        .map(|(k, m)| {
            let at_hz = k as f64 * step;
            if at_hz <= 0.0 || *m <= 0.0 {
                return 0.0;
            }
            match weight(at_hz / hz) {
                0.0 => 0.0,
                weight => weight * (hz / at_hz).sqrt(),
            }
        })
        .collect();
    let norm: f64 = raw
        .iter()
        .zip(measure)
        .map(|(w, m)| w.max(0.0).powi(2) * f64::from(*m))
        .sum::<f64>()
        .sqrt()
        .max(1e-9);
    // Stretches closer to each other than a dot product's lanes are kept as one.
    let mut lobes: Vec<(usize, Vec<f32>)> = Vec::new();
    for (k, (w, m)) in raw.iter().zip(measure).enumerate() {
        if *w == 0.0 {
            continue;
        }
        let value = (w * f64::from(*m) / norm) as f32;
        match lobes.last_mut() {
            Some((from, weights)) if k - *from < weights.len() + LANES => {
                weights.resize(k - *from, 0.0);
                weights.push(value);
            }
            _ => lobes.push((k, vec![value])),
        }
    }
    lobes
}
