//! How loud: K-weighted level, A-weighted level, and dB(A) SPL once a reading is known.

mod abreast;
mod biquad;
mod calibration;
pub mod quiet;
mod weighted;
mod weighting;

pub use biquad::Biquad;
pub use calibration::{Calibration, CalibrationError};
pub use weighted::Weighted;
pub use weighting::{Weighting, a_weighting_db};
