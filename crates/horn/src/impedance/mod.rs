//! Input impedance of a tube: losses, matrices, radiation, the curve, its peaks and modes.
//!
//! Time convention `exp(+jwt)`; pressure in Pa, volume velocity in m3/s, impedance in Pa.s/m3.

mod curve;
mod end;
mod kernel;
mod lanes;
mod losses;
mod matrix;
mod modes;
mod peaks;
mod standing;

pub use curve::{Curve, CurveError, MAX_FREQUENCY, input_impedance};
pub use end::{End, radiation_reflection};
pub use losses::thermoviscous;
pub use matrix::{Matrix, cone_matrix};
pub use modes::{Mode, modal_impedance};
pub use peaks::{Peak, Resonances, resonances};
pub use standing::{StandingWave, standing_wave};
