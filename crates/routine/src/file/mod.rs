//! The files that teachers write: exercises, levels, routines. Text in, values and diagnostics out.

mod diagnostic;
mod exercise;
mod levels;
mod manner;
pub(crate) mod reader;

pub use diagnostic::{Diagnostic, Parsed, Severity};
pub use exercise::read_exercise;
pub use levels::read_levels;
