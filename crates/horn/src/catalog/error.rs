//! Why an instrument file does not load: what, where and what to do.

use std::fmt;
use std::ops::Range;

/// A place in a text, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line.
    pub line: usize,
    /// Column, in characters.
    pub column: usize,
}

impl Place {
    /// The place of a byte offset; past the end counts as the end.
    pub(crate) fn of(text: &str, offset: usize) -> Self {
        let before: String = text
            .char_indices()
            .take_while(|(at, _)| *at < offset)
            .map(|(_, c)| c)
            .collect();
        let last_line = before.rsplit('\n').next().unwrap_or("");
        Self {
            line: before.matches('\n').count() + 1,
            column: last_line.chars().count() + 1,
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)
    }
}

/// Why an instrument file does not load.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CatalogError {
    /// Not TOML, or a field is missing, unknown or of the wrong kind.
    #[error("{place}: {message}")]
    Syntax {
        /// Where.
        place: Place,
        /// What, as the reader says it.
        message: String,
    },
    /// Well-formed, but not an instrument.
    #[error("{place}: {what}; {remedy}")]
    Value {
        /// Where.
        place: Place,
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: String,
    },
}

impl CatalogError {
    /// Where in the text.
    #[must_use]
    pub fn place(&self) -> Place {
        match self {
            Self::Syntax { place, .. } | Self::Value { place, .. } => *place,
        }
    }

    pub(crate) fn syntax(text: &str, error: &toml::de::Error) -> Self {
        Self::Syntax {
            place: Place::of(text, error.span().map_or(0, |span| span.start)),
            message: error.message().to_owned(),
        }
    }

    pub(crate) fn value(
        text: &str,
        span: &Range<usize>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self::Value {
            place: Place::of(text, span.start),
            what: what.into(),
            remedy: remedy.into(),
        }
    }
}
