//! The kernels of a window: weights from a bin on, packed one after the other.

use pulp::{Arch, Simd, WithSimd};

use crate::signal::LANES;

/// Harmonics that a kernel has lobes at.
const HARMONICS: [f64; 13] = [1., 2., 3., 5., 7., 11., 13., 17., 19., 23., 29., 31., 37.];

/// True for each of these, by its number.
const LOBES: [bool; 38] = {
    let mut lobes = [false; 38];
    let mut index = 0;
    while index < HARMONICS.len() {
        lobes[HARMONICS[index] as usize] = true;
        index += 1;
    }
    lobes
};

/// The kernel of one pitch.
#[derive(Clone, Copy, Debug)]
struct Kernel {
    /// Grid index.
    pitch: usize,
    /// Share of this window in the pitch's salience (the rest is the next window's).
    share: f32,
    /// How many of the bank's registers are its own.
    registers: usize,
}

/// All kernels of a window, as whole vector registers of weights.
#[derive(Clone, Debug, Default)]
pub(super) struct Bank {
    kernels: Vec<Kernel>,
    /// The bin of each register's first weight.
    bins: Vec<u32>,
    weights: Vec<[f32; LANES]>,
}

impl Bank {
    /// Adds the kernel of a pitch; bins are `step` hertz apart and count for their `measure`.
    pub(super) fn add(&mut self, pitch: usize, share: f32, hz: f64, step: f64, measure: &[f32]) {
        let before = self.bins.len();
        for (from, weights) in lobes(hz, step, measure) {
            for (index, piece) in weights.chunks(LANES).enumerate() {
                let mut register = [0.0; LANES];
                for (slot, weight) in register.iter_mut().zip(piece) {
                    *slot = *weight;
                }
                self.bins.push((from + index * LANES) as u32);
                self.weights.push(register);
            }
        }
        self.kernels.push(Kernel {
            pitch,
            share,
            registers: self.bins.len() - before,
        });
    }

    /// Adds to each pitch of every moment's `out` how well its kernel explains the moment's values of
    /// the bins, times its scale. There must be [`LANES`] values more than bins, or the last weights are
    /// left out.
    pub(super) fn explain<const N: usize>(
        &self,
        values: [&[f32]; N],
        scales: [f32; N],
        out: [&mut [f32]; N],
    ) {
        Arch::new().dispatch(Explained {
            bank: self,
            values,
            scales,
            out,
        });
    }
}

/// The sums over all kernels' registers: told to the machine one by one, for left to itself the
/// compiler takes them apart. The weights fill more than the nearest cache: several moments at once
/// share what it takes to fetch them.
struct Explained<'a, const N: usize> {
    bank: &'a Bank,
    values: [&'a [f32]; N],
    scales: [f32; N],
    out: [&'a mut [f32]; N],
}

impl<const N: usize> WithSimd for Explained<'_, N> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(mut self, simd: S) {
        let length = self.values.iter().map(|v| v.len()).min().unwrap_or(0);
        let values = self.values.map(|v| v.get(..length).unwrap_or(&[]));
        let mut registers = self.bank.bins.iter().zip(&self.bank.weights);
        for kernel in &self.bank.kernels {
            let mut sums = [simd.splat_f32s(0.0); N];
            for (bin, weights) in registers.by_ref().take(kernel.registers) {
                let bin = *bin as usize;
                // Narrower registers take a few, wider ones are filled in part.
                let (weights, last_weights) = S::as_simd_f32s(weights);
                for (sum, values) in sums.iter_mut().zip(&values) {
                    let Some(values) = values.get(bin..bin + LANES) else {
                        continue;
                    };
                    let (values, last) = S::as_simd_f32s(values);
                    for (value, weight) in values.iter().zip(weights) {
                        *sum = simd.mul_add_e_f32s(*value, *weight, *sum);
                    }
                    if !last.is_empty() {
                        let value = simd.partial_load_f32s(last);
                        let weight = simd.partial_load_f32s(last_weights);
                        *sum = simd.mul_add_e_f32s(value, weight, *sum);
                    }
                }
            }
            for ((out, sum), scale) in self.out.iter_mut().zip(sums).zip(self.scales) {
                if let Some(slot) = out.get_mut(kernel.pitch) {
                    *slot += kernel.share * simd.reduce_sum_f32s(sum) * scale;
                }
            }
        }
    }
}

/// The lobes of the kernel of a pitch: first bin and weights.
fn lobes(hz: f64, step: f64, measure: &[f32]) -> Vec<(usize, Vec<f32>)> {
    // Weight of a place `q` (in harmonics): lobes of the first and the prime harmonics, of which the two
    // beside it alone may reach it.
    let weight = |q: f64| -> f64 {
        let below = q.floor();
        let share = |harmonic: usize, away: f64| match away {
            _ if !LOBES.get(harmonic).copied().unwrap_or(false) => 0.0,
            away if away < 0.25 => 1.0,
            away if away < 0.75 => 0.5,
            _ => 0.0,
        };
        let (harmonic, away) = (below as usize, q - below);
        match share(harmonic, away) + share(harmonic + 1, 1.0 - away) {
            // Most places lie in no lobe.
            0.0 => 0.0,
            share => share * (std::f64::consts::TAU * q).cos(),
        }
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
