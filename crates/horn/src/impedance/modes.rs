//! The tube as a sum of decaying modes, the form the lips and the sounding model work with.

use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::PI;

/// One mode: `Z(w) = sum C/(jw - s) + conj(C)/(jw - conj(s))`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Mode {
    /// `s`, rad/s: decay (negative real part) and angular frequency.
    pub pole: Complex64,
    /// `C`, Pa/m3.
    pub residue: Complex64,
}

impl Mode {
    /// Frequency of the free decay, Hz.
    #[must_use]
    pub fn frequency(&self) -> f64 {
        self.pole.im / (2.0 * PI)
    }

    /// Quality factor `w / (2 |decay|)`.
    #[must_use]
    pub fn q(&self) -> f64 {
        self.pole.im / (-2.0 * self.pole.re)
    }
}

/// The impedance that the modes add up to at a frequency (Hz), Pa.s/m3.
///
/// A cut-off sum: it holds within a tenth near the lower resonances, a fifth near the cut-off of the
/// bell, where the modes left out are close; far above the
/// last mode it does not.
#[must_use]
pub fn modal_impedance(modes: &[Mode], frequency: f64) -> Complex64 {
    let jw = Complex64::new(0.0, 2.0 * PI * frequency);
    modes
        .iter()
        .map(|m| m.residue / (jw - m.pole) + m.residue.conj() / (jw - m.pole.conj()))
        .sum()
}
