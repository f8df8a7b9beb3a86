//! Everything heard in a take as one value, and the two ways to read it: text and a page.

mod build;
mod roof;
mod shape;

pub use build::{Given, build};
pub use shape::{
    Curve, Heading, Line, LineMeasures, Note, NoteMeasures, OtherPartial, Outcome, Report,
    RoofNote, SHAPE, SameRoof, Slur, TakeMeasures,
};
