//! A lesson: what was worked on, with which exercises and takes.

use serde::{Deserialize, Serialize};

use super::{check_id, check_text, check_time};
use crate::{Error, Result};

/// What a teacher writes down about a lesson.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct LessonInput {
    /// Whose lesson.
    pub player: String,
    /// When, Unix milliseconds.
    pub at_ms: i64,
    /// Title, at most 200 characters.
    #[serde(default)]
    pub title: String,
    /// The words, at most 50,000 characters.
    #[serde(default)]
    pub text: String,
    /// Exercises to practise, by id.
    #[serde(default)]
    pub exercises: Vec<String>,
    /// Takes that belong to it, by id.
    #[serde(default)]
    pub takes: Vec<String>,
}

impl LessonInput {
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub(crate) fn check(&self) -> Result<()> {
        check_time("at_ms", self.at_ms)?;
        check_text("title", &self.title, 200)?;
        check_text("text", &self.text, 50_000)?;
        if self.exercises.len() > 200 || self.takes.len() > 200 {
            return Err(Error::invalid("exercises", "200 at most"));
        }
        for id in self.exercises.iter().chain(&self.takes) {
            check_id("exercises", id)?;
        }
        Ok(())
    }
}

/// A lesson as kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Lesson {
    /// Identifier.
    pub id: String,
    /// What was written down.
    #[serde(flatten)]
    pub about: LessonInput,
    /// When it was made, Unix milliseconds.
    pub created_ms: i64,
    /// When it was last changed, Unix milliseconds.
    pub changed_ms: i64,
}
