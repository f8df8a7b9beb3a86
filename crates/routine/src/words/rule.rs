//! A text with gaps: how its English is known, and how another language says it.

use regex::Regex;
use tone::{Language, NoteName, Pitch};

use super::Words;

/// A longer text was put together by a person.
const MOST_BYTES: usize = 500;

/// One text with gaps.
pub(super) struct Rule {
    is: Regex,
    say: Vec<Piece>,
}

/// A piece of what is said.
enum Piece {
    Text(String),
    /// What was found in a group, said in some way.
    Gap(usize, How),
}

/// How what was found in a gap is said.
#[derive(Clone, Copy)]
enum How {
    /// As it is.
    Plain,
    /// As the name of a note.
    Tone,
    /// As a text that may have words of its own.
    Text,
    /// As what a line begins with: a text, or else a note.
    Start,
}

impl Rule {
    /// Reads a rule.
    ///
    /// # Errors
    /// What is wrong with it.
    pub(super) fn read(is: &str, say: &str) -> Result<Self, String> {
        let is = Regex::new(is).map_err(|error| error.to_string())?;
        let mut pieces = Vec::new();
        let mut rest = say;
        while let Some((text, gap)) = rest.split_once('{') {
            let (gap, after) = gap
                .split_once('}')
                .ok_or_else(|| format!("`{say}`: a {{ is never closed"))?;
            let (group, how) = gap.split_once(':').unwrap_or((gap, ""));
            let how = match how {
                "" => How::Plain,
                "tone" => How::Tone,
                "text" => How::Text,
                "start" => How::Start,
                other => return Err(format!("`{say}`: nothing is said as `{other}`")),
            };
            let group = group
                .parse()
                .ok()
                .filter(|n| (1..is.captures_len()).contains(n));
            let group = group.ok_or_else(|| format!("`{say}`: {{{gap}}} is no group"))?;
            pieces.push(Piece::Text(text.to_owned()));
            pieces.push(Piece::Gap(group, how));
            rest = after;
        }
        pieces.push(Piece::Text(rest.to_owned()));
        Ok(Self { is, say: pieces })
    }

    /// Says a text, if it is of this kind.
    pub(super) fn say(&self, text: &str, words: &Words) -> Option<String> {
        if text.len() > MOST_BYTES {
            return None;
        }
        let found = self.is.captures(text)?;
        let mut out = String::new();
        for piece in &self.say {
            match piece {
                Piece::Text(text) => out.push_str(text),
                Piece::Gap(group, how) => {
                    let found = found.get(*group).map_or("", |group| group.as_str());
                    out.push_str(&how.said(found, words));
                }
            }
        }
        Some(out)
    }
}

impl How {
    fn said(self, found: &str, words: &Words) -> String {
        match self {
            Self::Plain => found.to_owned(),
            Self::Tone => tone(found, words.language),
            Self::Text => words.find(found).unwrap_or_else(|| found.to_owned()),
            Self::Start => words
                .find(found)
                .unwrap_or_else(|| tone(found, words.language)),
        }
    }
}

/// `B-flat` or `B-flat 4` as a language names it; anything else as it is.
fn tone(name: &str, language: Language) -> String {
    let plain: String = name
        .replace("-double-flat", "bb")
        .replace("-double-sharp", "##")
        .replace("-flat", "b")
        .replace("-sharp", "#")
        .split_whitespace()
        .collect();
    let pitch = plain.parse().ok().map(|pitch: Pitch| pitch.named(language));
    let note = || {
        plain
            .parse()
            .ok()
            .map(|note: NoteName| note.named(language))
    };
    pitch.or_else(note).unwrap_or_else(|| name.to_owned())
}
