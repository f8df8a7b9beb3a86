//! What a verb prints, and how it fails.

use std::io::{self, Write};
use std::process::ExitCode;

use serde::Serialize;

/// Where results go: text for people, JSON for programs.
pub(crate) struct Output {
    /// Whether `--json` was given.
    pub(crate) json: bool,
}

/// Why a verb did not do what it was asked.
#[derive(Debug)]
pub(crate) enum Failure {
    /// An input was not understood: what, where, what to do.
    Input(String),
    /// The work itself failed.
    Work(anyhow::Error),
}

impl Failure {
    /// Prints the failure on standard error and gives the exit code.
    pub(crate) fn report(&self, output: &Output) -> ExitCode {
        let (text, code) = match self {
            Self::Input(text) => (text.clone(), 3),
            Self::Work(error) if is_broken_pipe(error) => return ExitCode::SUCCESS,
            Self::Work(error) => (format!("{error:#}"), 1),
        };
        if output.json {
            eprintln!("{}", serde_json::json!({ "error": text, "exit": code }));
        } else {
            eprintln!("waterkey: {text}");
        }
        ExitCode::from(code)
    }
}

/// A reader such as `head` that closed the pipe has what it wanted.
fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error
        .downcast_ref::<io::Error>()
        .is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

impl<E: Into<anyhow::Error>> From<E> for Failure {
    fn from(error: E) -> Self {
        Self::Work(error.into())
    }
}

impl Output {
    /// Prints `value` as JSON, or the text that `text` makes of it.
    pub(crate) fn show<T: Serialize>(
        &self,
        value: &T,
        text: impl FnOnce(&T) -> String,
    ) -> Result<(), Failure> {
        let mut shown = if self.json {
            serde_json::to_string_pretty(value)?
        } else {
            text(value)
        };
        if !shown.ends_with('\n') {
            shown.push('\n');
        }
        self.raw(shown.as_bytes())
    }

    /// Writes bytes to standard output as they are.
    pub(crate) fn raw(&self, bytes: &[u8]) -> Result<(), Failure> {
        let mut out = io::stdout().lock();
        out.write_all(bytes)?;
        out.flush()?;
        Ok(())
    }
}
