//! How a page is to look: paper, size, fingerings, what stands in the header.

use serde::{Deserialize, Serialize};
use tone::Language;

use crate::words::Words;

/// A sheet of paper, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// ISO 216 A4: 210 mm x 297 mm.
    #[default]
    A4,
    /// ANSI Letter: 8.5 in x 11 in.
    Letter,
}

impl Paper {
    /// Width and height in millimetres.
    #[must_use]
    pub const fn millimetres(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// Where fingerings or positions are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Fingerings {
    /// On every note.
    #[default]
    Always,
    /// Only where the choice is not the usual one: alternates, pedal and false notes.
    Unusual,
    /// Nowhere.
    Never,
}

impl Fingerings {
    /// Whether this note's fingering is shown.
    #[must_use]
    pub fn shows(self, fingered: &routine::part::Fingered) -> bool {
        match self {
            Self::Always => !fingered.label.is_empty(),
            Self::Unusual => {
                !fingered.label.is_empty()
                    && (fingered.alternate || fingered.kind != horn::NoteKind::Partial)
            }
            Self::Never => false,
        }
    }
}

/// How a page is to look.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Layout {
    /// The sheet.
    pub paper: Paper,
    /// Height of a staff in millimetres: 7 is the usual size of a part, 9.5 is large print.
    pub staff_mm: f64,
    /// Which fingerings are shown.
    pub fingerings: Fingerings,
    /// The date in the header, already written out; empty for none.
    pub date: String,
    /// Leaves a row above each staff for what was heard.
    pub captions: bool,
    /// Puts the text fonts into the SVG itself, cut down to the glyphs that it uses, for a file that
    /// must look right anywhere.
    pub embed_font: bool,
    /// The language of the page: of what it adds, and of what the program brings along in the part
    /// ([`Part::in_language`](routine::Part::in_language)). A person's own words stay.
    pub language: Language,
}

impl Default for Layout {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            staff_mm: 7.0,
            fingerings: Fingerings::Always,
            date: String::new(),
            captions: false,
            embed_font: false,
            language: Language::En,
        }
    }
}

impl Layout {
    /// The words that the page adds.
    pub(crate) const fn words(&self) -> &'static Words {
        Words::of(self.language)
    }

    /// The same page in large print: a staff of 9.5 mm and text in proportion.
    #[must_use]
    pub fn large_print(self) -> Self {
        Self {
            staff_mm: 9.5,
            ..self
        }
    }
}
