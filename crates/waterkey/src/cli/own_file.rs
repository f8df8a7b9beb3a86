//! Files that teachers write: which of the three kinds a text is, and where it is read from.

use std::io::Read;
use std::path::Path;

use clap::ValueEnum;
use routine::exercise::Exercise;
use routine::file::{self, Diagnostic, Parsed};
use routine::routine::Routine;
use serde::Serialize;

use super::{Failure, pick};

/// The name that stands for standard input.
pub(crate) const STANDARD_INPUT: &str = "-";

/// The kinds of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ValueEnum)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Kind {
    /// An exercise.
    Exercise,
    /// The levels.
    Levels,
    /// A day's routine.
    Routine,
}

/// What a text says.
pub(crate) enum Content {
    /// An exercise.
    Exercise(Box<Exercise>),
    /// The levels.
    Levels,
    /// A day's routine.
    Routine(Routine),
}

impl Kind {
    /// The kind of a TOML text: levels and routines list their items, an exercise lists none.
    pub(crate) fn of(text: &str) -> Self {
        let lists = |name: &str| {
            text.lines()
                .filter_map(|line| line.trim_start().strip_prefix("[["))
                .any(|rest| rest.trim_start().starts_with(name))
        };
        if lists("step") {
            Self::Routine
        } else if lists("level") {
            Self::Levels
        } else {
            Self::Exercise
        }
    }

    /// Reads a text of this kind.
    pub(crate) fn read(self, text: &str) -> (Option<Content>, Vec<Diagnostic>) {
        fn split<T>(
            parsed: Parsed<T>,
            wrap: impl FnOnce(T) -> Content,
        ) -> (Option<Content>, Vec<Diagnostic>) {
            (parsed.value.map(wrap), parsed.diagnostics)
        }
        match self {
            Self::Exercise => split(file::read_exercise(text), |e| {
                Content::Exercise(Box::new(e))
            }),
            Self::Levels => split(file::read_levels(text), |_| Content::Levels),
            Self::Routine => split(file::read_routine(text), Content::Routine),
        }
    }

    /// The word for people.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Exercise => "exercise",
            Self::Levels => "levels",
            Self::Routine => "routine",
        }
    }
}

/// The text of a file, or of standard input for `-`.
pub(crate) fn text(path: &Path) -> Result<String, Failure> {
    if path.as_os_str() != STANDARD_INPUT {
        return pick::read_text(path);
    }
    let mut text = String::new();
    std::io::stdin()
        .read_to_string(&mut text)
        .map_err(|error| Failure::Input(format!("cannot read standard input: {error}")))?;
    Ok(text)
}

/// The diagnostics with the file's name before each: `my-idea.toml:3:9: error: ...`.
pub(crate) fn named(path: &Path, found: &[Diagnostic]) -> String {
    let lines: Vec<String> = found
        .iter()
        .map(|one| format!("{}:{one}", path.display()))
        .collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_kind_is_known_by_what_the_file_lists() {
        for (text, kind) in [
            ("version = 1\nid = \"a\"\n", Kind::Exercise),
            ("version = 1\n\n[[step]]\nexercise = \"a\"\n", Kind::Routine),
            ("  [[ level ]]\nid = \"first\"\n", Kind::Levels),
            ("# [[step]]\n", Kind::Exercise),
            ("", Kind::Exercise),
        ] {
            assert_eq!(Kind::of(text), kind, "{text}");
        }
        assert_eq!(Kind::of(routine::level::STANDARD), Kind::Levels);
    }
}
