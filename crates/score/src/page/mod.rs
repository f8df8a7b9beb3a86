//! Pages: blocks of text and music flowed onto sheets of paper. Lengths in points (1/72 inch).

mod flow;
mod head;
mod sheet;

use std::collections::BTreeMap;

pub use flow::flow;
#[cfg(feature = "engrave")]
pub(crate) use head::quarter;
pub use head::{closing, opening, section};
#[cfg(feature = "engrave")]
pub(crate) use sheet::placed;
pub use sheet::{Page, Running, draw, strip};

use crate::layout::Layout;

/// Points in a millimetre.
pub const MM: f64 = 72.0 / 25.4;

/// What a block is, for those who listen to the page instead of seeing it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Title of a part.
    Title,
    /// Heading of an exercise.
    Heading,
    /// A line of text.
    Text,
    /// A system of music, or a picture.
    Music,
}

/// Something that is not split between pages.
#[derive(Clone, Debug)]
pub struct Block {
    /// What it is.
    pub role: Role,
    /// Its height.
    pub height: f64,
    /// Space above it, unless it begins a page.
    pub gap: f64,
    /// Stays on the page of the block after it.
    pub keep: bool,
    /// Begins a page.
    pub page_break: bool,
    /// Definitions that its drawing refers to, by id.
    pub defs: BTreeMap<String, String>,
    /// Its drawing, from (0, 0) down and to the right, without definitions.
    pub svg: String,
    /// The same in words; the heading itself for titles and headings.
    pub words: String,
    /// Level in the outline (1 or 2), for a block that opens something.
    pub outline: Option<u8>,
}

impl Block {
    /// A block of text or a drawing without definitions.
    #[must_use]
    pub fn new(role: Role, height: f64, svg: String, words: String) -> Self {
        Self {
            role,
            height,
            gap: 0.0,
            keep: false,
            page_break: false,
            defs: BTreeMap::new(),
            svg,
            words,
            outline: None,
        }
    }

    /// The same with space above it.
    #[must_use]
    pub fn gap(self, gap: f64) -> Self {
        Self { gap, ..self }
    }

    /// The same, kept with what follows.
    #[must_use]
    pub fn keep(self) -> Self {
        Self { keep: true, ..self }
    }
}

/// The measures of a sheet for one layout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Width of the sheet.
    pub width: f64,
    /// Height of the sheet.
    pub height: f64,
    /// Left and right margin.
    pub side: f64,
    /// Top of the text.
    pub top: f64,
    /// Bottom of the text, from the top of the sheet.
    pub bottom: f64,
    /// Size of reading text.
    pub text: f64,
    /// Distance between two lines of the staff.
    pub space: f64,
}

/// Reading text of a part with a 7 mm staff.
const TEXT_SIZE: f64 = 10.5;
/// The staff that text sizes go with.
const USUAL_STAFF_MM: f64 = 7.0;

impl Measures {
    /// For a layout; the staff is kept between 4 and 20 mm.
    #[must_use]
    pub fn of(layout: &Layout) -> Self {
        let (width, height) = layout.paper.millimetres();
        let staff = if layout.staff_mm.is_finite() {
            layout.staff_mm.clamp(4.0, 20.0)
        } else {
            7.0
        };
        Self {
            width: width * MM,
            height: height * MM,
            side: 16.0 * MM,
            top: 15.0 * MM,
            bottom: (height - 17.0) * MM,
            text: TEXT_SIZE * staff / USUAL_STAFF_MM,
            space: staff / 4.0 * MM,
        }
    }

    /// Width of the text.
    #[must_use]
    pub fn column(&self) -> f64 {
        self.width - 2.0 * self.side
    }

    /// Height of the text.
    #[must_use]
    pub fn room(&self) -> f64 {
        self.bottom - self.top
    }
}
