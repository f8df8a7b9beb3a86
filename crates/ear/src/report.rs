//! Everything heard in a take as one value, and the two ways to read it: text and a page.

mod shape;

pub use shape::{
    Curve, Heading, Line, LineMeasures, Note, NoteMeasures, OtherPartial, Outcome, Report,
    RoofNote, SHAPE, SameRoof, Slur, TakeMeasures,
};
