//! One transform of a stretch of sound, seen through a Hann window and through its derivative.
//!
//! The window is applied in the frequency domain (three-term sums of neighbouring bins), so one
//! transform gives both the spectrum and the reassigned frequency of every bin
//! (Auger & Flandrin, IEEE Trans. Signal Process. 43 (1995) 1068).

use std::sync::Arc;

use num_complex::Complex32;
use pulp::NullaryFnOnce;
use rustfft::{Fft, FftPlanner};

use crate::signal::wide;

/// A transform of one size; makes its buffers once.
///
/// Real sound is transformed as complex numbers of half as many, which are then put asunder (Sorensen et
/// al., IEEE Trans. Acoust. Speech Signal Process. 35 (1987) 849). That is done here, real and imaginary
/// parts apart, because `realfft`'s way, a bin at a time, takes longer than the transform itself.
pub struct Transform {
    size: usize,
    plan: Arc<dyn Fft<f32>>,
    /// The sound, two samples a number; then its transform.
    packed: Vec<Complex32>,
    scratch: Vec<Complex32>,
    /// The transform's parts; after the last the first once more.
    halved: Parts,
    /// What turns the odd samples' bins.
    turns: Parts,
    /// The bins from 0 to half the rate.
    bins: Parts,
}

/// Real and imaginary parts.
#[derive(Clone, Debug, Default)]
struct Parts {
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Parts {
    fn nothing(length: usize) -> Self {
        Self {
            re: vec![0.0; length],
            im: vec![0.0; length],
        }
    }

    /// The first so many; there must be as many.
    fn first(&self, count: usize) -> (&[f32], &[f32]) {
        (&self.re[..count], &self.im[..count])
    }

    fn at(&self, k: usize) -> Complex32 {
        let part = |of: &[f32]| of.get(k).copied().unwrap_or(0.0);
        Complex32::new(part(&self.re), part(&self.im))
    }
}

impl std::fmt::Debug for Transform {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Transform")
            .field("size", &self.size)
            .finish_non_exhaustive()
    }
}

impl Transform {
    /// A transform of `size` samples (even, at least 16).
    #[must_use]
    pub fn new(size: usize) -> Self {
        let size = size.max(16) & !1;
        let half = size / 2;
        let plan = FftPlanner::<f32>::new().plan_fft_forward(half);
        let mut turns = Parts::nothing(half + 1);
        for (k, (re, im)) in turns.re.iter_mut().zip(&mut turns.im).enumerate() {
            let (sin, cos) = (std::f64::consts::TAU * k as f64 / size as f64).sin_cos();
            (*re, *im) = (cos as f32, -sin as f32);
        }
        Self {
            size,
            packed: vec![Complex32::default(); half],
            scratch: vec![Complex32::default(); plan.get_inplace_scratch_len()],
            plan,
            halved: Parts::nothing(half + 1),
            turns,
            bins: Parts::nothing(half + 1),
        }
    }

    /// Samples it looks at.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size
    }

    /// Looks at the samples centred on `centre`; what lies outside the sound is silence.
    pub fn look(&mut self, sound: &[f32], centre: isize) {
        self.look_up_to(sound, centre, self.bins());
    }

    /// As [`Transform::look`], for whoever asks for no more than the first so many bins; the others are those
    /// of an earlier look.
    pub fn look_up_to(&mut self, sound: &[f32], centre: isize, bins: usize) {
        let start = centre - (self.size / 2) as isize;
        let skip = ((-start).max(0) as usize).min(self.size);
        let from = (start.max(0) as usize).min(sound.len());
        let there = sound.get(from..).unwrap_or(&[]);
        if skip == 0 && there.len() >= self.size {
            for (slot, pair) in self.packed.iter_mut().zip(there.chunks_exact(2)) {
                if let [even, odd] = pair {
                    *slot = Complex32::new(*even, *odd);
                }
            }
        } else {
            self.packed.fill(Complex32::default());
            for (n, x) in (skip..self.size).zip(there) {
                if let Some(slot) = self.packed.get_mut(n / 2) {
                    *(if n % 2 == 0 {
                        &mut slot.re
                    } else {
                        &mut slot.im
                    }) = *x;
                }
            }
        }
        self.plan
            .process_with_scratch(&mut self.packed, &mut self.scratch);
        // Windows and slopes lean on the bin above.
        wide(Asunder(self, bins.saturating_add(1)));
    }

    /// The bin `k` through no window.
    #[must_use]
    pub fn bin(&self, k: usize) -> Complex32 {
        self.bins.at(k)
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
        let part = |of: &[f32], out: &mut [f32], square: fn(&mut f32, f32)| {
            let three = of.iter().zip(of.get(1..).unwrap_or(&[]));
            let three = three.zip(of.get(2..).unwrap_or(&[]));
            for (slot, ((below, here), above)) in out.iter_mut().zip(three) {
                square(slot, 0.5 * here - 0.25 * (below + above));
            }
        };
        part(&self.bins.re, inner, |slot, x| *slot = x * x);
        part(&self.bins.im, inner, |slot, x| *slot += x * x);
    }

    /// Number of bins.
    #[must_use]
    pub fn bins(&self) -> usize {
        self.bins.re.len()
    }
}

/// Puts the bins of the even and of the odd samples asunder and together to those of all, the first so many.
struct Asunder<'a>(&'a mut Transform, usize);

impl NullaryFnOnce for Asunder<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self(transform, wanted) = self;
        let Transform {
            packed,
            halved,
            turns,
            bins,
            ..
        } = transform;
        let parts = halved.re.iter_mut().zip(&mut halved.im);
        for ((re, im), z) in parts.zip(&*packed) {
            (*re, *im) = (z.re, z.im);
        }
        let first = packed.first().copied().unwrap_or_default();
        for (part, value) in [(&mut halved.re, first.re), (&mut halved.im, first.im)] {
            if let Some(last) = part.last_mut() {
                *last = value;
            }
        }
        let count = bins.re.len().min(halved.re.len()).min(turns.re.len());
        let ((z_re, z_im), (cos, sin)) = (halved.first(count), turns.first(count));
        let out = bins.re.iter_mut().zip(&mut bins.im);
        for (k, (re, im)) in out.enumerate().take(count.min(wanted)) {
            let mirror = count - 1 - k;
            // The even samples' bin is half the sum of z and the conjugate of its mirror, the odd ones'
            // half their difference over i.
            let even_re = 0.5 * (z_re[k] + z_re[mirror]);
            let even_im = 0.5 * (z_im[k] - z_im[mirror]);
            let odd_re = 0.5 * (z_im[k] + z_im[mirror]);
            let odd_im = 0.5 * (z_re[mirror] - z_re[k]);
            *re = even_re + cos[k] * odd_re - sin[k] * odd_im;
            *im = even_im + cos[k] * odd_im + sin[k] * odd_re;
        }
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
    fn bins_are_those_of_the_real_transform() {
        for size in [16, 96, 256] {
            let sound: Vec<f32> = (0..size).map(|n| ((n * n) as f32 * 0.37).sin()).collect();
            let mut transform = Transform::new(size);
            transform.look(&sound, (size / 2) as isize);
            let plan = realfft::RealFftPlanner::<f32>::new().plan_fft_forward(size);
            let (mut input, mut bins) = (sound.clone(), plan.make_output_vec());
            plan.process(&mut input, &mut bins).unwrap();
            for (k, bin) in bins.iter().enumerate() {
                assert!((transform.bin(k) - bin).norm() < 1e-4, "{size} {k}");
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
