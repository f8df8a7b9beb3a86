//! The languages that pages are written in, and how each names notes.

use serde::{Deserialize, Serialize};

use crate::{Letter, NoteName, Pitch};

/// A language that the program writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// English.
    #[default]
    En,
    /// German.
    De,
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::En, Self::De];

    /// Its tag (BCP 47).
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::De => "de",
        }
    }
}

impl NoteName {
    /// The name in a language: `Bb`, `F#`, in German `B`, `Fis`.
    ///
    /// ```
    /// use tone::{Language, NoteName};
    /// let name: NoteName = "Bb".parse().unwrap();
    /// assert_eq!(name.named(Language::De), "B");
    /// ```
    #[must_use]
    pub fn named(self, language: Language) -> String {
        match language {
            Language::En => self.to_string(),
            Language::De => german(self),
        }
    }
}

impl Pitch {
    /// The name in a language with its octave: `Bb4`, in German `B4`.
    #[must_use]
    pub fn named(self, language: Language) -> String {
        let name = NoteName::new(self.letter, self.alter).named(language);
        format!("{name}{}", self.octave)
    }
}

fn german(name: NoteName) -> String {
    let count = usize::from(name.alter.unsigned_abs());
    let letter = match (name.letter, name.alter) {
        (Letter::B, -1) => return "B".to_owned(),
        (Letter::B, _) => "H".to_owned(),
        (letter, _) => letter.to_string(),
    };
    if name.alter > 0 {
        return letter + &"is".repeat(count);
    }
    // The vowel of A and E swallows that of the first ending: As, Es.
    let first = match (name.letter, count) {
        (_, 0) => "",
        (Letter::A | Letter::E, _) => "s",
        _ => "es",
    };
    letter + first + &"es".repeat(count.saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn german_names_are_those_of_the_textbooks() {
        // Common practice of German music teaching, from memory.
        let table = [
            ("C", "C"),
            ("C#", "Cis"),
            ("Db", "Des"),
            ("D#", "Dis"),
            ("Eb", "Es"),
            ("E#", "Eis"),
            ("Fb", "Fes"),
            ("F#", "Fis"),
            ("F##", "Fisis"),
            ("Gb", "Ges"),
            ("Ab", "As"),
            ("A#", "Ais"),
            ("Bb", "B"),
            ("B", "H"),
            ("B#", "His"),
            ("Bbb", "Heses"),
            ("Ebb", "Eses"),
        ];
        for (english, german) in table {
            let name: NoteName = english.parse().unwrap();
            assert_eq!(name.named(Language::De), german);
            assert_eq!(name.named(Language::En), english);
        }
    }

    #[test]
    fn a_pitch_keeps_its_octave() {
        let pitch: Pitch = "Bb-1".parse().unwrap();
        assert_eq!(pitch.named(Language::De), "B-1");
        assert_eq!(pitch.named(Language::En), pitch.to_string());
    }
}
