//! The things that are kept, as values: one file for each kind.

mod lesson;
mod player;
mod settings;
mod take;
mod text;

pub use lesson::{Lesson, LessonInput};
pub use player::{Player, PlayerInput};
pub use settings::{Paper, Settings, ShowFingerings, Theme};
pub use take::{Gap, NewTake, Origin, Take, TakeFilter, TakeNote, TakeNoteInput, TakePage};
pub(crate) use text::check_own_text;
pub use text::{OwnText, TextKind};

use crate::{Error, Result};

/// A text a person wrote: no longer than `most` characters, no control characters but line ends.
fn check_text(what: &str, text: &str, most: usize) -> Result<()> {
    if text.chars().count() > most {
        return Err(Error::invalid(
            what,
            format!("is longer than {most} characters"),
        ));
    }
    if text
        .chars()
        .any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
    {
        return Err(Error::invalid(what, "holds a control character"));
    }
    Ok(())
}

/// An identifier of the catalogue or the library: lower-case words with hyphens.
fn check_id(what: &str, id: &str) -> Result<()> {
    let fits = |c: u8| c.is_ascii_lowercase() || c.is_ascii_digit() || c == b'-';
    if id.is_empty() || id.len() > 80 || !id.bytes().all(fits) {
        return Err(Error::invalid(
            what,
            "an identifier is lower-case letters, digits and hyphens, 80 at most",
        ));
    }
    Ok(())
}

/// A moment: 1900 to 2200, so that a wrong clock or unit is caught here.
fn check_time(what: &str, ms: i64) -> Result<()> {
    if !(-2_208_988_800_000..7_258_118_400_000).contains(&ms) {
        return Err(Error::invalid(what, "must be Unix milliseconds, 1900-2200"));
    }
    Ok(())
}
