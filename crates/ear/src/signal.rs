//! From samples to spectra: decimation to the working rate, windowed transforms, levels.

pub mod decimate;
pub mod dot;
pub mod level;
pub mod rates;
pub mod spectrum;

pub use decimate::{Decimator, halved, working};
pub use dot::{LANES, dot, energy, most, sum, wide};
pub use level::Levels;
pub use rates::Rates;
pub use spectrum::Transform;
