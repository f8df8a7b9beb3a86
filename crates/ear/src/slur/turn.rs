//! Turning a block of sound against a pitch: one complex sum for each harmonic.

use num_complex::{Complex32, Complex64};

use crate::signal::dot;
use crate::slur::scene::Row;

/// Turns blocks; makes its buffers once.
#[derive(Debug)]
pub struct Turner {
    block: usize,
    turn_re: Vec<f32>,
    turn_im: Vec<f32>,
    power_re: Vec<f32>,
    power_im: Vec<f32>,
}

impl Turner {
    /// For blocks of this many samples.
    #[must_use]
    pub fn new(block: usize) -> Self {
        let empty = || vec![0.0; block];
        Self {
            block,
            turn_re: empty(),
            turn_im: empty(),
            power_re: empty(),
            power_im: empty(),
        }
    }

    /// The block turned against a pitch that goes evenly from one frequency to another (turns a
    /// sample), for each of `count` harmonics, `offset` added to its number; phase 0 at the start.
    pub fn row(
        &mut self,
        sound: &[f32],
        from: f64,
        to: f64,
        offset: f64,
        count: usize,
        row: &mut Row,
    ) {
        let first = -std::f64::consts::TAU * from;
        let bend = -std::f64::consts::TAU * (to - from) / self.block.max(1) as f64;
        let mut z = Complex64::new(1.0, 0.0);
        let mut r = Complex64::cis(first + 0.5 * bend);
        let q = Complex64::cis(bend);
        for (re, im) in self.turn_re.iter_mut().zip(&mut self.turn_im) {
            (*re, *im) = (z.re as f32, z.im as f32);
            z *= r;
            r *= q;
        }
        // The first harmonic's own turn (or the half one beside it), then one more for each.
        self.power_re.copy_from_slice(&self.turn_re);
        self.power_im.copy_from_slice(&self.turn_im);
        if offset != 0.0 {
            let mut z = Complex64::new(1.0, 0.0);
            let r = Complex64::cis(first * (1.0 + offset));
            for (re, im) in self.power_re.iter_mut().zip(&mut self.power_im) {
                (*re, *im) = (z.re as f32, z.im as f32);
                z *= r;
            }
        }
        for (n, slot) in row.iter_mut().enumerate().take(count) {
            if n > 0 {
                times(
                    &mut self.power_re,
                    &mut self.power_im,
                    &self.turn_re,
                    &self.turn_im,
                );
            }
            *slot = Complex32::new(dot(sound, &self.power_re), dot(sound, &self.power_im));
        }
    }
}

fn times(re: &mut [f32], im: &mut [f32], by_re: &[f32], by_im: &[f32]) {
    for ((a, b), (c, d)) in re.iter_mut().zip(im).zip(by_re.iter().zip(by_im)) {
        (*a, *b) = (*a * c - *b * d, *a * d + *b * c);
    }
}
