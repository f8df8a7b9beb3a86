//! Pictures of what the bore model says, as SVG text: slide-sized, light or dark by CSS classes.

mod curve;
mod frame;
mod standing;
mod table;

pub use curve::impedance_curve;
pub use standing::standing_wave_picture;
pub use table::chart_table;
