//! The harmonics of a known pitch as phasors: sound turned against the pitch through a Hann window.

use num_complex::Complex64;
use pulp::{Arch, NullaryFnOnce, Simd, WithSimd};

use crate::signal::{dot, wide};

/// Samples over which a pitch is taken to stand.
pub const BLOCK: usize = 16;

/// The phasor of each of `harmonics` at even steps; the first window begins with the first sample.
///
/// `turns` says for each [`BLOCK`] of samples how far the fundamental turns in one of them (hertz
/// over the sample rate), `size` is the window's length and `step` the way from one to the next, in
/// samples. A harmonic that follows the pitch stands still. Phasors have the harmonic's amplitude.
#[must_use]
pub fn phasors(
    sound: &[f32],
    turns: impl Fn(usize) -> f64,
    harmonics: &[usize],
    size: usize,
    step: f64,
) -> Vec<Vec<Complex64>> {
    let size = size.max(8);
    let window: Vec<f32> = (0..size)
        .map(|n| {
            let turn = std::f64::consts::TAU * (n as f64 + 0.5) / size as f64;
            ((1.0 - turn.cos()) * 2.0 / size as f64) as f32
        })
        .collect();
    let steps = (sound.len().saturating_sub(size) as f64 / step.max(1.0)) as usize;
    let from: Vec<usize> = (0..steps)
        .map(|k| (k as f64 * step).round() as usize)
        .collect();
    let first = first(sound.len(), turns);
    let mut harmonic = Phases::still(sound.len());
    let mut turned = Phases::still(sound.len());
    let mut order = 0;
    let each = harmonics.iter().map(|wanted| {
        while order < *wanted {
            wide(Further(&mut harmonic, &first));
            order += 1;
        }
        wide(Turned {
            sound,
            by: &harmonic,
            out: &mut turned,
        });
        Arch::new().dispatch(Windowed {
            turned: &turned,
            window: &window,
            from: &from,
        })
    });
    each.collect()
}

/// A phase for every sample, as the parts of a number of size 1.
struct Phases {
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Phases {
    fn still(length: usize) -> Self {
        Self {
            re: vec![1.0; length],
            im: vec![0.0; length],
        }
    }
}

/// What takes back the turning of the fundamental.
fn first(length: usize, turns: impl Fn(usize) -> f64) -> Phases {
    let mut out = Phases::still(length);
    let mut turn = 0.0_f64;
    // Turns within a block, made anew where the pitch changes.
    let (mut within, mut of) = ([Complex64::default(); BLOCK], f64::NAN);
    let blocks = out.re.chunks_mut(BLOCK).zip(out.im.chunks_mut(BLOCK));
    for (block, (re, im)) in blocks.enumerate() {
        let each = turns(block);
        if each != of {
            let further = Complex64::cis(-std::f64::consts::TAU * each);
            let mut phase = further;
            for slot in &mut within {
                *slot = phase;
                phase *= further;
            }
            of = each;
        }
        let begin = Complex64::cis(-std::f64::consts::TAU * turn);
        for ((re, im), by) in re.iter_mut().zip(im).zip(&within) {
            let phase = begin * by;
            (*re, *im) = (phase.re as f32, phase.im as f32);
        }
        turn = (turn + BLOCK as f64 * each).fract();
    }
    out
}

/// Turns the first by the second.
struct Further<'a>(&'a mut Phases, &'a Phases);

impl NullaryFnOnce for Further<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self(of, by) = self;
        let of = of.re.iter_mut().zip(&mut of.im);
        for ((re, im), (by_re, by_im)) in of.zip(by.re.iter().zip(&by.im)) {
            (*re, *im) = (*re * by_re - *im * by_im, *re * by_im + *im * by_re);
        }
    }
}

/// The sound, turned.
struct Turned<'a> {
    sound: &'a [f32],
    by: &'a Phases,
    out: &'a mut Phases,
}

impl NullaryFnOnce for Turned<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { sound, by, out } = self;
        for ((out, by), x) in out.re.iter_mut().zip(&by.re).zip(sound) {
            *out = by * x;
        }
        for ((out, by), x) in out.im.iter_mut().zip(&by.im).zip(sound) {
            *out = by * x;
        }
    }
}

/// The turned sound through windows that begin at given samples.
struct Windowed<'a> {
    turned: &'a Phases,
    window: &'a [f32],
    from: &'a [usize],
}

impl WithSimd for Windowed<'_> {
    type Output = Vec<Complex64>;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Self::Output {
        let (window, end) = S::as_simd_f32s(self.window);
        let mut out = Vec::with_capacity(self.from.len());
        for from in self.from {
            let (re, im) = (&self.turned.re, &self.turned.im);
            let (Some(re), Some(im)) = (
                re.get(*from..*from + self.window.len()),
                im.get(*from..*from + self.window.len()),
            ) else {
                break;
            };
            let ((re, re_end), (im, im_end)) = (S::as_simd_f32s(re), S::as_simd_f32s(im));
            // Two sums of each part, so that none waits for its own last one.
            let mut sums = [simd.splat_f32s(0.0); 4];
            let pairs = window.chunks(2).zip(re.chunks(2)).zip(im.chunks(2));
            for ((w, re), im) in pairs {
                if let ([w0, w1], [re0, re1], [im0, im1]) = (w, re, im) {
                    let [a, b, c, d] = sums;
                    sums = [
                        simd.mul_add_e_f32s(*re0, *w0, a),
                        simd.mul_add_e_f32s(*im0, *w0, b),
                        simd.mul_add_e_f32s(*re1, *w1, c),
                        simd.mul_add_e_f32s(*im1, *w1, d),
                    ];
                } else if let ([w], [re], [im]) = (w, re, im) {
                    let [a, b, c, d] = sums;
                    sums = [
                        simd.mul_add_e_f32s(*re, *w, a),
                        simd.mul_add_e_f32s(*im, *w, b),
                        c,
                        d,
                    ];
                }
            }
            let [a, b, c, d] = sums;
            let whole = |x, y| f64::from(simd.reduce_sum_f32s(simd.add_f32s(x, y)));
            out.push(Complex64::new(
                whole(a, c) + f64::from(dot(re_end, end)),
                whole(b, d) + f64::from(dot(im_end, end)),
            ));
        }
        out
    }
}

/// Power of all phasors together at every step.
#[must_use]
pub fn powers(phasors: &[Vec<Complex64>]) -> Vec<f64> {
    let count = phasors.iter().map(Vec::len).min().unwrap_or(0);
    let power = |k: usize| {
        let of_step = phasors.iter().filter_map(|row| row.get(k));
        of_step.map(Complex64::norm_sqr).sum()
    };
    (0..count).map(power).collect()
}

/// How far all phasors together move from `reach` steps before each step to `reach` after it
/// (squared), and the power they lose: together what a note's direct sound does when it ends.
#[must_use]
pub fn leaving(phasors: &[Vec<Complex64>], reach: usize) -> Vec<(f64, f64)> {
    let powers = powers(phasors);
    (reach..powers.len().saturating_sub(reach))
        .map(|k| {
            let moved: f64 = phasors
                .iter()
                .filter_map(|row| Some(row.get(k + reach)? - row.get(k - reach)?))
                .map(|d| d.norm_sqr())
                .sum();
            let lost = powers.get(k - reach).zip(powers.get(k + reach));
            (moved, lost.map_or(0.0, |(before, after)| before - after))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmonics_of_the_pitch_stand_still_and_have_their_amplitude() {
        let rate = 22_050.0;
        let wave = |n: usize| {
            let turn = std::f64::consts::TAU * 233.0 * n as f64 / rate;
            (0.3 * turn.sin() + 0.1 * (2.0 * turn + 1.0).cos()) as f32
        };
        let sound: Vec<f32> = (0..4_000).map(wave).collect();
        let found = phasors(&sound, |_| 233.0 / rate, &[1, 2], 441, 55.0);
        for (row, size) in found.iter().zip([0.3, 0.1]) {
            for z in row {
                assert!((z.norm() - size).abs() < 0.01, "{z}");
                assert!((z - row[0]).norm() < 0.01);
            }
        }
    }
}
