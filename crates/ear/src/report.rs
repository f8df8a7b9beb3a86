//! Everything heard in a take as one value, and the two ways to read it: text and a page.

mod build;
pub mod figures;
mod html;
mod line;
mod note;
mod roof;
mod shape;
mod summary;
mod take;
mod text;
mod whole;

pub use build::{Given, build};
pub use html::html;
pub use shape::{
    Curve, Heading, Line, LineMeasures, Note, NoteMeasures, OtherPartial, Outcome, Report,
    RoofNote, SHAPE, SameRoof, Slur, TakeMeasures,
};
pub use text::text;
pub use whole::{Asked, Whole, of_input, whole_of_input};
