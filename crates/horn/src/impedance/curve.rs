//! The input impedance at any list of frequencies.

use std::f64::consts::PI;

use num_complex::Complex64;
use serde::Serialize;

use crate::air::Medium;
use crate::bore::Tube;

use super::end::{End, end_state};
use super::kernel::{Step, march, plan};
use super::lanes::{Complex, LANES, Real};

/// An impedance curve: `impedance[i]` belongs to `frequency[i]`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Curve {
    /// Hz.
    pub frequency: Vec<f64>,
    /// Pa.s/m3.
    pub impedance: Vec<Complex64>,
}

/// Why an impedance cannot be given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CurveError {
    /// A frequency that is not a positive finite number.
    #[error("frequency {index} is {value} Hz; give numbers above 0 and at most {MAX_FREQUENCY} Hz")]
    Frequency {
        /// Place in the list.
        index: usize,
        /// What was given.
        value: f64,
    },
    /// The march through the tube left the range of numbers.
    #[error(
        "the tube has no finite impedance at {frequency} Hz: it is so long or narrow that nothing returns from its end; shorten or widen it"
    )]
    Diverged {
        /// Hz.
        frequency: f64,
    },
    /// The tube has no cone at all.
    #[error("the tube is empty; give it at least one section")]
    Empty,
}

/// Highest frequency that is answered, Hz: plane waves alone do not describe a bell beyond it.
pub const MAX_FREQUENCY: f64 = 50_000.0;

/// A tube made ready for many frequencies.
pub(super) struct Marcher<'a> {
    steps: Vec<Step>,
    radius: f64,
    end: End,
    air: &'a Medium,
}

impl<'a> Marcher<'a> {
    pub(super) fn new(tube: &Tube, air: &'a Medium) -> Self {
        Self {
            steps: plan(&tube.cones, air),
            radius: tube.mouth_radius(),
            end: tube.end,
            air,
        }
    }

    /// Impedance at each frequency; the frequencies must be positive.
    pub(super) fn impedance(&self, frequency: &[f64]) -> Vec<Complex64> {
        let mut out = Vec::with_capacity(frequency.len());
        pulp::Arch::new().dispatch(
            #[inline(always)]
            || {
                for pack in frequency.chunks(LANES) {
                    self.pack(pack, &mut out);
                }
            },
        );
        out
    }

    #[inline(always)]
    fn pack(&self, pack: &[f64], out: &mut Vec<Complex64>) {
        let Some(&last) = pack.last() else { return };
        let mut omega = [2.0 * PI * last; LANES];
        for (w, f) in omega.iter_mut().zip(pack) {
            *w = 2.0 * PI * f;
        }
        let (mut p, mut u) = (Complex::default(), Complex::default());
        for (i, w) in omega.iter().enumerate() {
            let (at_p, at_u) = end_state(self.end, self.radius, *w, self.air);
            set(&mut p, i, at_p);
            set(&mut u, i, at_u);
        }
        let (p, u) = march(&self.steps, self.air, &omega, (p, u));
        let z = p * u.recip();
        out.extend(
            z.re.0
                .iter()
                .zip(z.im.0)
                .take(pack.len())
                .map(|(&re, im)| Complex64::new(re, im)),
        );
    }
}

#[inline(always)]
fn set(lanes: &mut Complex, at: usize, value: Complex64) {
    let Real(re) = &mut lanes.re;
    let Real(im) = &mut lanes.im;
    if let (Some(re), Some(im)) = (re.get_mut(at), im.get_mut(at)) {
        (*re, *im) = (value.re, value.im);
    }
}

/// Input impedance of the tube at each frequency, Pa.s/m3, in the order given.
///
/// Transmission matrices of cones with the exact losses of Zwikker & Kosten (Chaigne & Kergomard,
/// *Acoustics of Musical Instruments*, ch. 5), from the radiation at the end to the lips.
///
/// ```
/// use horn::Air;
/// use horn::bore::{Cone, Tube};
/// use horn::impedance::input_impedance;
///
/// let tube = Tube::of(vec![Cone { r1: 0.006, r2: 0.006, length: 1.0 }]);
/// let air = Air::default().medium()?;
/// let z = input_impedance(&tube, &air, &[85.0, 170.0])?;
/// // Near a quarter of a wave it is high, near half a wave low.
/// assert!(z[0].norm() > 50.0 * z[1].norm());
/// assert!(input_impedance(&tube, &air, &[-1.0]).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// When a frequency is not a positive finite number, the tube is empty, or the tube is so lossy
/// that the result is not finite.
pub fn input_impedance(
    tube: &Tube,
    air: &Medium,
    frequency: &[f64],
) -> Result<Vec<Complex64>, CurveError> {
    if tube.cones.is_empty() {
        return Err(CurveError::Empty);
    }
    for (index, &value) in frequency.iter().enumerate() {
        if !(value > 0.0 && value <= MAX_FREQUENCY) {
            return Err(CurveError::Frequency { index, value });
        }
    }
    let out = Marcher::new(tube, air).impedance(frequency);
    match out.iter().zip(frequency).find(|(z, _)| !z.is_finite()) {
        Some((_, &frequency)) => Err(CurveError::Diverged { frequency }),
        None => Ok(out),
    }
}
