//! Slurs: how the pitch went from one note to the next, and what it caught on between.

mod backdrop;
mod blocks;
pub mod change;
pub mod edges;
mod evidence;
pub mod fit;
pub mod hall;
mod kernel;
mod likelihood;
mod pair;
mod polynomial;
pub mod report;
mod row;
pub mod scene;
mod spectra;
mod sure;
mod turn;

pub use change::{Change, Hold, Shape};
pub use edges::Edges;
pub use fit::{Fit, fit};
pub use report::{lingers, slurs};
pub use scene::Scene;
