//! Why a bore is refused: every problem at once, each with its section and number.

use std::fmt;

/// One thing wrong in a bore.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Which part, such as ``section 3 `bell` ``.
    pub place: String,
    /// What is wrong, with the number, and what would be right.
    pub what: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.what)
    }
}

/// Why a bore, mouthpiece or state of a tube is refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BoreError {
    /// The text is not the TOML that is expected; the message names line and column.
    #[error("the bore file cannot be read: {message}")]
    Syntax {
        /// From the TOML reader.
        message: String,
    },
    /// The numbers do not make a tube.
    #[error("bore `{id}`: {}", list(problems))]
    Problems {
        /// The bore's id.
        id: String,
        /// All problems found.
        problems: Vec<Problem>,
    },
    /// No bore or mouthpiece of this name is in the catalogue.
    #[error("no generic {kind} is called `{id}`; there are: {known}")]
    Unknown {
        /// "bore" or "mouthpiece".
        kind: &'static str,
        /// What was asked for.
        id: String,
        /// What there is.
        known: String,
    },
}

fn list(problems: &[Problem]) -> String {
    problems
        .iter()
        .map(Problem::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}
