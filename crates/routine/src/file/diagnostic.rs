//! What is wrong with a file, where, and what to do.

use std::fmt;
use std::ops::Range;

use serde::Serialize;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used; something in it has no effect.
    Warning,
}

/// One thing found in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// What is wrong.
    pub message: String,
    /// What to do; empty when the message says it.
    pub help: String,
    /// Bytes of the file, from-to.
    pub span: Range<usize>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl fmt::Display for Diagnostic {
    /// `3:9: error: what is wrong; what to do`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(
            f,
            "{}:{}: {severity}: {}",
            self.line, self.column, self.message
        )?;
        if !self.help.is_empty() {
            write!(f, "; {}", self.help)?;
        }
        Ok(())
    }
}

/// What was understood of a file, and what was found in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed<T> {
    /// The value; `None` when there was an error.
    pub value: Option<T>,
    /// Everything found, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
}

impl<T> Parsed<T> {
    /// The value, or all that was found as one text, a line each.
    ///
    /// # Errors
    /// The diagnostics as text when there is no value.
    pub fn into_result(self) -> Result<T, String> {
        self.value.ok_or_else(|| {
            self.diagnostics
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("\n")
        })
    }
}

/// Line and column (both from 1, columns in characters) of a byte of the text.
pub(super) fn place(text: &str, byte: usize) -> (usize, usize) {
    let mut end = byte.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = text.get(..end).unwrap_or("");
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    let line = before.bytes().filter(|&b| b == b'\n').count() + 1;
    let column = before.get(line_start..).unwrap_or("").chars().count() + 1;
    (line, column)
}
