//! The standing wave: pressure and flow along the bore at one frequency.

use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::PI;

use crate::air::Medium;
use crate::bore::Tube;

use super::curve::CurveError;
use super::end::end_state;
use super::matrix::{apply, matrix_with_layer};

/// Longest piece of tube between two points of the picture, m.
const LARGEST_PIECE: f64 = 0.01;
/// Most points of one cone.
const MAX_PIECES: usize = 2000;

/// Pressure and flow along a tube, per unit of flow at the lips.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StandingWave {
    /// Hz.
    pub frequency: f64,
    /// Distance from the lips, m.
    pub distance: Vec<f64>,
    /// Radius there, m: of the bore, or in a bell with spherical fronts that of the disc as large as
    /// the front, a few per cent wider.
    pub radius: Vec<f64>,
    /// Pressure for 1 m3/s at the lips, Pa: the first value is the input impedance.
    pub pressure: Vec<Complex64>,
    /// Volume velocity for 1 m3/s at the lips.
    pub flow: Vec<Complex64>,
}

/// Pressure and flow at points no more than 10 mm apart, lips first.
///
/// ```
/// use horn::Setup;
///
/// let trumpet = Setup::generic("trumpet-bflat")?;
/// let wave = trumpet.standing_wave(horn::LengthId(0), 466.2)?;
/// // The bell lets the pressure fall to almost nothing.
/// let (lips, bell) = (wave.pressure[0].norm(), wave.pressure[wave.pressure.len() - 1].norm());
/// assert!(bell < 0.02 * lips);
/// # Ok::<(), horn::AcousticError>(())
/// ```
///
/// # Errors
/// As [`super::input_impedance`].
pub fn standing_wave(
    tube: &Tube,
    air: &Medium,
    frequency: f64,
) -> Result<StandingWave, CurveError> {
    if !(frequency > 0.0 && frequency <= super::curve::MAX_FREQUENCY) {
        return Err(CurveError::Frequency {
            index: 0,
            value: frequency,
        });
    }
    if tube.cones.is_empty() {
        return Err(CurveError::Empty);
    }
    let omega = 2.0 * PI * frequency;
    let mut state = end_state(tube.end, tube.mouth_radius(), omega, air);
    let mut at = tube.length();
    let mouth = tube.cones.last().map_or(0.0, |cone| cone.r2);
    let mut rows = vec![(at, mouth, state)];
    for cone in tube.cones.iter().rev() {
        let pieces = ((cone.length / LARGEST_PIECE).ceil() as usize).clamp(1, MAX_PIECES);
        for i in (0..pieces).rev() {
            let piece = cone.part(i as f64 / pieces as f64, (i + 1) as f64 / pieces as f64);
            state = apply(
                &matrix_with_layer(&piece, cone.loss_radius(), omega, air),
                state,
            );
            at -= piece.length;
            rows.push((at.max(0.0), piece.r1, state));
        }
    }
    let flow_at_lips = state.1;
    if !(state.0.is_finite() && flow_at_lips.is_finite() && flow_at_lips.norm() > 0.0) {
        return Err(CurveError::Diverged { frequency });
    }
    rows.reverse();
    Ok(StandingWave {
        frequency,
        distance: rows.iter().map(|r| r.0).collect(),
        radius: rows.iter().map(|r| r.1).collect(),
        pressure: rows.iter().map(|r| r.2.0 / flow_at_lips).collect(),
        flow: rows.iter().map(|r| r.2.1 / flow_at_lips).collect(),
    })
}
