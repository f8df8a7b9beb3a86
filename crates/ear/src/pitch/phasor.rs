//! The harmonics of a known pitch as phasors: sound turned against the pitch through a Hann window.

use num_complex::Complex64;
use pulp::NullaryFnOnce;

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
        wide(Windowed {
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
    let blocks = out.re.chunks_mut(BLOCK).zip(out.im.chunks_mut(BLOCK));
    for (block, (re, im)) in blocks.enumerate() {
        let each = turns(block);
        let mut phase = Complex64::cis(-std::f64::consts::TAU * (turn + each).fract());
        let further = Complex64::cis(-std::f64::consts::TAU * each);
        for (re, im) in re.iter_mut().zip(im) {
            (*re, *im) = (phase.re as f32, phase.im as f32);
            phase *= further;
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

impl NullaryFnOnce for Windowed<'_> {
    type Output = Vec<Complex64>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let seen = |values: &[f32], from: usize| {
            f64::from(dot(values.get(from..).unwrap_or(&[]), self.window))
        };
        let each = self
            .from
            .iter()
            .map(|from| Complex64::new(seen(&self.turned.re, *from), seen(&self.turned.im, *from)));
        each.collect()
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
