//! How likely a stretch of samples is under a complex Gaussian process of known covariance.
//!
//! C. E. Rasmussen & C. K. I. Williams, Gaussian Processes for Machine Learning (2006), algorithm 2.1, for
//! circular complex values: -y* K⁻¹ y - log det K, the constant left out.

use num_complex::Complex32;
use pulp::NullaryFnOnce;

use crate::signal::wide;

/// Complex values, real and imaginary parts apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Row {
    /// The first `count` of some values; zeros where there are fewer.
    pub(super) fn of(values: impl IntoIterator<Item = Complex32>, count: usize) -> Self {
        let (mut re, mut im): (Vec<f32>, Vec<f32>) =
            values.into_iter().take(count).map(|z| (z.re, z.im)).unzip();
        re.resize(count, 0.0);
        im.resize(count, 0.0);
        Self { re, im }
    }

    fn resize(&mut self, count: usize) {
        self.re.resize(count, 0.0);
        self.im.resize(count, 0.0);
    }
}

/// A Hermitian matrix by its lower triangle, row by row, real and imaginary parts apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Covariance {
    count: usize,
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Covariance {
    pub(super) fn new(count: usize) -> Self {
        Self {
            count,
            re: vec![0.0; count * count],
            im: vec![0.0; count * count],
        }
    }

    /// The rows of the lower triangle, diagonal included.
    pub(super) fn rows(&mut self) -> impl Iterator<Item = (&mut [f32], &mut [f32])> {
        let count = self.count.max(1);
        let re = self.re.chunks_exact_mut(count);
        let im = self.im.chunks_exact_mut(count);
        re.zip(im).enumerate().map(|(row, (re, im))| {
            let (re, _) = re.split_at_mut(row + 1);
            let (im, _) = im.split_at_mut(row + 1);
            (re, im)
        })
    }

    /// Becomes another of the same size.
    pub(super) fn copy(&mut self, other: &Self) {
        self.clone_from(other);
    }

    /// Adds the echo of a tone that turns so: `began` and `ended` are the shares of it that are later than its
    /// beginning and its end (see [`super::Field::covariance`]).
    pub(super) fn add_echo(&mut self, power: f32, turns: &Row, began: &[f32], ended: &[f32]) {
        wide(Echo {
            to: self,
            power,
            turns,
            began,
            ended,
        });
    }

    /// Adds a sound of these values that is alike by so much from step to step; `alike` goes down to no step
    /// apart.
    pub(super) fn add_alike(&mut self, values: &Row, alike: &[f32]) {
        wide(Alike {
            to: self,
            values,
            alike,
        });
    }
}

struct Echo<'a> {
    to: &'a mut Covariance,
    power: f32,
    turns: &'a Row,
    began: &'a [f32],
    ended: &'a [f32],
}

impl NullaryFnOnce for Echo<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Row { re, im } = self.turns;
        let late = re.iter().zip(im).zip(self.ended);
        for ((to_re, to_im), ((late_re, late_im), ended)) in self.to.rows().zip(late) {
            let early = re.iter().zip(im).zip(self.began);
            for ((to_re, to_im), ((re, im), began)) in to_re.iter_mut().zip(to_im).zip(early) {
                let alike = self.power * (ended - began).max(0.0);
                *to_re += alike * (late_re * re + late_im * im);
                *to_im += alike * (late_im * re - late_re * im);
            }
        }
    }
}

struct Alike<'a> {
    to: &'a mut Covariance,
    values: &'a Row,
    alike: &'a [f32],
}

impl NullaryFnOnce for Alike<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Row { re, im } = self.values;
        let last = self.alike.len().saturating_sub(1);
        let late = re.iter().zip(im).enumerate();
        for ((to_re, to_im), (row, (late_re, late_im))) in self.to.rows().zip(late) {
            if *late_re == 0.0 && *late_im == 0.0 {
                continue;
            }
            let near = self.alike.get(last.saturating_sub(row)..).unwrap_or(&[]);
            let early = re.iter().zip(im).zip(near);
            for ((to_re, to_im), ((re, im), near)) in to_re.iter_mut().zip(to_im).zip(early) {
                *to_re += near * (late_re * re + late_im * im);
                *to_im += near * (late_im * re - late_re * im);
            }
        }
    }
}

/// Room for one factorization.
#[derive(Clone, Debug, Default)]
pub(super) struct Work {
    column: Row,
    rest: Row,
}

/// Logarithm of how likely `values` are, nats; least likely of all where the matrix is no covariance.
/// The matrix is spent.
pub(super) fn likelihood(
    values: &[Complex32],
    covariance: &mut Covariance,
    work: &mut Work,
) -> f64 {
    work.column.resize(covariance.count);
    work.rest.resize(covariance.count);
    let rest = work.rest.re.iter_mut().zip(&mut work.rest.im);
    for ((re, im), z) in rest.zip(values) {
        (*re, *im) = (z.re, z.im);
    }
    wide(Cholesky { covariance, work })
}

/// Column by column: each is divided by its root and taken off what is right of it; the values are
/// carried along as one more row, so that each becomes what the ones before it do not foretell.
struct Cholesky<'a> {
    covariance: &'a mut Covariance,
    work: &'a mut Work,
}

impl NullaryFnOnce for Cholesky<'_> {
    type Output = f64;

    #[inline(always)]
    fn call(self) -> f64 {
        let count = self.covariance.count;
        let Work { column, rest } = self.work;
        let mut sum = 0.0;
        for j in 0..count {
            let diagonal = self.covariance.re.get(j * count + j).copied();
            let Some(power) = diagonal.filter(|power| *power > 0.0) else {
                return f64::MIN / 4.0;
            };
            let scale = power.sqrt().recip();
            for i in j + 1..count {
                let place = i * count + j;
                let (re, im) = (self.covariance.re.get(place), self.covariance.im.get(place));
                let slots = column.re.get_mut(i).zip(column.im.get_mut(i));
                if let (Some((to_re, to_im)), Some(re), Some(im)) = (slots, re, im) {
                    (*to_re, *to_im) = (re * scale, im * scale);
                }
            }
            let unforetold = rest.re.get(j).zip(rest.im.get(j));
            let (z_re, z_im) = unforetold.map_or((0.0, 0.0), |(re, im)| (re * scale, im * scale));
            sum -= f64::from(power.ln()) + f64::from(z_re * z_re + z_im * z_im);
            let rows = self.covariance.re.chunks_exact_mut(count);
            let rows = rows.zip(self.covariance.im.chunks_exact_mut(count));
            for (i, (row_re, row_im)) in rows.enumerate().skip(j + 1) {
                let own = column.re.get(i).zip(column.im.get(i));
                let (Some((by_re, by_im)), Some(to_re), Some(to_im)) =
                    (own, row_re.get_mut(j + 1..=i), row_im.get_mut(j + 1..=i))
                else {
                    continue;
                };
                let others = column.re.get(j + 1..=i).zip(column.im.get(j + 1..=i));
                let (of_re, of_im) = others.unwrap_or((&[], &[]));
                take_off(to_re, to_im, (*by_re, *by_im), of_re, of_im);
            }
            let after = column.re.iter().zip(&column.im);
            let values = rest.re.iter_mut().zip(&mut rest.im);
            for ((re, im), (l_re, l_im)) in values.zip(after).skip(j + 1) {
                *re -= l_re * z_re - l_im * z_im;
                *im -= l_re * z_im + l_im * z_re;
            }
        }
        sum
    }
}

/// Takes `by` times the conjugate of `of` off a row.
#[inline(always)]
fn take_off(
    to_re: &mut [f32],
    to_im: &mut [f32],
    (by_re, by_im): (f32, f32),
    of_re: &[f32],
    of_im: &[f32],
) {
    let of = of_re.iter().zip(of_im);
    for ((re, im), (of_re, of_im)) in to_re.iter_mut().zip(to_im).zip(of) {
        *re -= by_re * of_re + by_im * of_im;
        *im -= by_im * of_re - by_re * of_im;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the determinant and the inverse of a matrix of two, written out.
    #[test]
    fn two_values_are_as_likely_as_the_formula_says() {
        let (a, d, c) = (2.0_f32, 3.0_f32, Complex32::new(0.5, -1.0));
        let values = [Complex32::new(1.0, 2.0), Complex32::new(-0.5, 0.25)];
        let mut covariance = Covariance::new(2);
        covariance.re = vec![a, 0.0, c.re, d];
        covariance.im = vec![0.0, 0.0, c.im, 0.0];
        let found = likelihood(&values, &mut covariance, &mut Work::default());
        let determinant = a * d - c.norm_sqr();
        let [y, z] = values;
        let cross = 2.0 * (z.conj() * c * y).re;
        let power = (d * y.norm_sqr() + a * z.norm_sqr() - cross) / determinant;
        let want = f64::from(-determinant.ln() - power);
        assert!((found - want).abs() < 1e-5, "{found} {want}");
    }

    #[test]
    fn what_is_no_covariance_is_not_likely() {
        let mut covariance = Covariance::new(1);
        let found = likelihood(
            &[Complex32::default()],
            &mut covariance,
            &mut Work::default(),
        );
        assert!(found < -1e30);
    }
}
