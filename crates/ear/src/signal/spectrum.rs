//! One transform of a stretch of sound, seen through a Hann window and through its derivative.
//!
//! The window is applied in the frequency domain (three-term sums of neighbouring bins), so one
//! transform gives both the spectrum and the reassigned frequency of every bin
//! (Auger & Flandrin, IEEE Trans. Signal Process. 43 (1995) 1068).

use std::cell::RefCell;
use std::sync::Arc;

use num_complex::Complex32;
use pulp::NullaryFnOnce;
use realfft::{RealFftPlanner, RealToComplex};

use crate::signal::wide;

thread_local! {
    /// Keeps what it has planned: the same few sizes are asked for again and again.
    static PLANNER: RefCell<RealFftPlanner<f32>> = RefCell::new(RealFftPlanner::new());
}

/// A transform of one size; makes its buffers once.
pub struct Transform {
    plan: Arc<dyn RealToComplex<f32>>,
    /// The sound, then what the transform leaves of it.
    input: Vec<f32>,
    scratch: Vec<Complex32>,
    /// The bins from 0 to half the rate.
    bins: Vec<Complex32>,
}

impl std::fmt::Debug for Transform {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Transform")
            .field("size", &self.size())
            .finish_non_exhaustive()
    }
}

impl Transform {
    /// A transform of `size` samples (even, at least 16).
    #[must_use]
    pub fn new(size: usize) -> Self {
        let plan = PLANNER.with_borrow_mut(|planner| planner.plan_fft_forward(size.max(16) & !1));
        Self {
            input: plan.make_input_vec(),
            scratch: plan.make_scratch_vec(),
            bins: plan.make_output_vec(),
            plan,
        }
    }

    /// Samples it looks at.
    #[must_use]
    pub fn size(&self) -> usize {
        self.input.len()
    }

    /// Looks at the samples centred on `centre`; what lies outside the sound is silence.
    pub fn look(&mut self, sound: &[f32], centre: isize) {
        let size = self.size();
        let start = centre - (size / 2) as isize;
        let skip = ((-start).max(0) as usize).min(size);
        let from = (start.max(0) as usize).min(sound.len());
        let there = sound.get(from..).unwrap_or(&[]);
        let there = there.get(..size - skip).unwrap_or(there);
        self.input.fill(0.0);
        if let Some(input) = self.input.get_mut(skip..skip + there.len()) {
            input.copy_from_slice(there);
        }
        let Self {
            plan,
            input,
            scratch,
            bins,
        } = self;
        // Never fails: the buffers are the plan's own.
        if plan.process_with_scratch(input, bins, scratch).is_err() {
            bins.fill(Complex32::default());
        }
    }

    /// The bin `k` through no window.
    #[must_use]
    pub fn bin(&self, k: usize) -> Complex32 {
        self.bins.get(k).copied().unwrap_or_default()
    }

    /// The bins below and above `k`; those below 0 are conjugates of those above.
    fn beside(&self, k: usize) -> (Complex32, Complex32) {
        let below = k.checked_sub(1);
        let below = below.map_or_else(|| self.bin(1).conj(), |k| self.bin(k));
        (below, self.bin(k + 1))
    }

    /// The bin `k` through a periodic Hann window.
    #[must_use]
    pub fn hann(&self, k: usize) -> Complex32 {
        let (below, above) = self.beside(k);
        self.bin(k) * 0.5 - (below + above) * 0.25
    }

    /// The bin `k` through the derivative of that window (per sample, times `size / pi`).
    fn hann_slope(&self, k: usize) -> Complex32 {
        let (below, above) = self.beside(k);
        // d/dt of 0.5 - 0.5 cos(2 pi t / N) is (pi / N) sin(2 pi t / N).
        (below - above) * Complex32::new(0.0, -0.5)
    }

    /// The frequency of the sinusoid that dominates bin `k`, in bins.
    #[must_use]
    pub fn reassigned(&self, k: usize) -> f32 {
        let hann = self.hann(k);
        let power = hann.norm_sqr();
        if power <= 0.0 {
            return k as f32;
        }
        // omega = omega_k - Im(X_dh conj(X_h)) / |X_h|^2, with X_dh in units of pi / N.
        k as f32 - (self.hann_slope(k) * hann.conj()).im / power * 0.5
    }

    /// Power of the first bins through the Hann window, from bin 0 on; the last of all stays as it is.
    pub fn powers_of(&self, out: &mut [f32]) {
        wide(Powers(self, out));
    }

    /// As [`Transform::powers_of`], within a loop that is made wide.
    #[inline(always)]
    pub fn powers(&self, out: &mut [f32]) {
        if let Some(first) = out.first_mut() {
            *first = self.hann(0).norm_sqr();
        }
        let Some(inner) = out.get_mut(1..) else {
            return;
        };
        for (slot, three) in inner.iter_mut().zip(self.bins.windows(3)) {
            if let [below, here, above] = three {
                let re = 0.5 * here.re - 0.25 * (below.re + above.re);
                let im = 0.5 * here.im - 0.25 * (below.im + above.im);
                *slot = re * re + im * im;
            }
        }
    }

    /// Number of bins.
    #[must_use]
    pub fn bins(&self) -> usize {
        self.bins.len()
    }
}

/// The powers of a spectrum.
struct Powers<'a>(&'a Transform, &'a mut [f32]);

impl NullaryFnOnce for Powers<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.0.powers(self.1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reassignment_finds_a_tone_between_bins() {
        for place in [20.0_f32, 20.3, 20.5, 20.9, 100.25] {
            let sound: Vec<f32> = (0..1024)
                .map(|i| (std::f32::consts::TAU * place * i as f32 / 1024.0 + 0.7).cos())
                .collect();
            let mut transform = Transform::new(1024);
            transform.look(&sound, 512);
            let found = transform.reassigned(place.round() as usize);
            assert!((found - place).abs() < 2e-3, "{place} {found}");
        }
    }

    #[test]
    fn bins_are_the_sums_that_define_them() {
        for size in [16, 96, 256] {
            let sound: Vec<f32> = (0..size).map(|n| ((n * n) as f32 * 0.37).sin()).collect();
            let mut transform = Transform::new(size);
            transform.look(&sound, (size / 2) as isize);
            for k in 0..transform.bins() {
                let each = sound.iter().enumerate().map(|(n, x)| {
                    let turns = (k * n % size) as f32 / size as f32;
                    Complex32::cis(-std::f32::consts::TAU * turns) * x
                });
                let want: Complex32 = each.sum();
                assert!((transform.bin(k) - want).norm() < 2e-4, "{size} {k}");
            }
        }
    }

    #[test]
    fn the_edges_are_silence() {
        let mut transform = Transform::new(64);
        transform.look(&[1.0; 10], -500);
        assert_eq!(transform.hann(3).norm_sqr(), 0.0);
        transform.look(&[1.0; 10], 500);
        assert_eq!(transform.hann(3).norm_sqr(), 0.0);
    }
}
