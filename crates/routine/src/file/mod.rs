//! The files that teachers write: exercises, levels, routines. Text in, values and diagnostics out.

mod convert;
mod diagnostic;
mod exercise;
mod format;
mod levels;
mod manner;
mod reader;
mod routines;
mod schema;

pub use convert::{Comment, Document, rewrite, to_document, to_text};
pub use diagnostic::{Diagnostic, Parsed, Severity};
pub use exercise::read_exercise;
pub use format::{FormatError, format};
pub use levels::read_levels;
pub(crate) use reader::nearest;
pub use routines::read_routine;
pub use schema::schemas;
