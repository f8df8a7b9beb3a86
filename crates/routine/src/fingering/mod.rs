//! Fingerings along a line: dynamic programming over the chart, each choice explained.

mod explain;
mod motion;
mod path;
mod weights;

pub use motion::Motions;
pub(crate) use path::on_length;
pub use path::{Allowed, Asked, choose};
pub use weights::{LEAST_HASTE, MOST_HASTE, Weights};
