//! The words of a part in another language: titles, purposes, labels, reasons.
//!
//! The program writes English. What it brings along (the library, names of instruments) and what
//! it puts together by rule stands in other languages in `words/*.json`, one file for each, which
//! the page reads too. What a person wrote is in no such file and stays as it is.

mod rule;

use std::collections::HashMap;
use std::sync::OnceLock;

use serde::Deserialize;
use tone::Language;

use self::rule::Rule;
use crate::part::Part;

/// Text of the file of each language other than English.
const GERMAN: &str = include_str!("../../words/de.json");

/// A file of words.
#[derive(Default, Deserialize)]
struct File {
    /// Exercises, days and levels: titles, purposes, words, cautions.
    library: HashMap<String, String>,
    /// Families of exercises.
    families: HashMap<String, String>,
    /// Instruments, readings, mouthpieces.
    names: HashMap<String, String>,
    /// Why something was left out.
    reasons: HashMap<String, String>,
    /// Texts with gaps.
    built: Vec<Built>,
}

/// A text with gaps, as the file has it.
#[derive(Deserialize)]
struct Built {
    /// What the English text looks like: a regular expression.
    is: String,
    /// The text, with gaps such as `{1}` or `{2:tone}`.
    say: String,
}

/// What texts are in one language.
#[derive(Default)]
struct Words {
    language: Language,
    texts: HashMap<String, String>,
    rules: Vec<Rule>,
}

impl Words {
    fn read(language: Language, text: &str) -> Result<Self, String> {
        let file: File = serde_json::from_str(text).map_err(|error| error.to_string())?;
        let rules = file.built.iter().map(|one| Rule::read(&one.is, &one.say));
        Ok(Self {
            language,
            rules: rules.collect::<Result<_, _>>()?,
            texts: [file.library, file.families, file.names, file.reasons]
                .into_iter()
                .flatten()
                .collect(),
        })
    }

    /// The text in this language, if there are words for it.
    fn find(&self, text: &str) -> Option<String> {
        if let Some(known) = self.texts.get(text) {
            return Some(known.clone());
        }
        self.rules.iter().find_map(|rule| rule.say(text, self))
    }
}

fn words(language: Language) -> Option<&'static Words> {
    static READ: OnceLock<Words> = OnceLock::new();
    match language {
        Language::En => None,
        // A file that does not read fails the tests; here its language would only be missing.
        Language::De => {
            Some(READ.get_or_init(|| Words::read(language, GERMAN).unwrap_or_default()))
        }
    }
}

/// A text of the program in a language; one that it has no words for stays as it is.
///
/// ```
/// use tone::Language;
/// assert_eq!(routine::words::say("from B-flat", Language::De), "von B");
/// assert_eq!(routine::words::say("my own", Language::De), "my own");
/// ```
#[must_use]
pub fn say(text: &str, language: Language) -> String {
    let known = words(language).and_then(|words| words.find(text));
    known.unwrap_or_else(|| text.to_owned())
}

impl Part {
    /// The same part with its words in a language; ids and notes stay.
    #[must_use]
    pub fn in_language(mut self, language: Language) -> Self {
        let Some(words) = words(language) else {
            return self;
        };
        let say = |text: &mut String| {
            if let Some(known) = words.find(text) {
                *text = known;
            }
        };
        for text in [
            &mut self.title,
            &mut self.purpose,
            &mut self.words,
            &mut self.instrument_name,
        ] {
            say(text);
        }
        self.cautions.iter_mut().for_each(say);
        self.warnings.iter_mut().for_each(say);
        for section in &mut self.sections {
            say(&mut section.title);
            say(&mut section.purpose);
            say(&mut section.words);
            section.cautions.iter_mut().for_each(say);
        }
        for line in &mut self.lines {
            say(&mut line.label);
        }
        for omission in &mut self.left_out {
            say(&mut omission.what);
            say(&mut omission.why);
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_reads() {
        let words = Words::read(Language::De, GERMAN).unwrap();
        assert!(words.texts.len() > 200 && words.rules.len() > 10);
    }

    #[test]
    fn a_file_that_does_not_read_says_why() {
        let bad = |is: &str, say: &str| {
            let built = serde_json::json!([{"is": is, "say": say}]);
            let file = serde_json::json!({"library": {}, "families": {}, "names": {}, "reasons": {}, "built": built});
            Words::read(Language::De, &file.to_string()).err().unwrap()
        };
        assert!(bad("(", "x").contains('('));
        assert!(bad("(.)", "{2}").contains("{2}"));
        assert!(bad("(.)", "{1:shout}").contains("shout"));
        assert!(bad("(.)", "{1").contains('{'));
    }

    #[test]
    fn what_is_put_together_by_rule_is_said() {
        let pairs = [
            ("from B-flat", "von B"),
            ("from F-sharp", "von Fis"),
            ("from B, again", "von H, noch einmal"),
            ("on 1-2", "auf 1-2"),
            ("position 3", "3. Lage"),
            ("from C (rest)", "von C (Pause)"),
            ("3 lines, from B-flat 4 to C5", "3 Zeilen, von B4 bis C5"),
            (
                "1 note of the line from on 1-2",
                "1 Note der Zeile von auf 1-2",
            ),
            (
                "Harmonic minor: the line from E4",
                "Harmonisches Moll: die Zeile von E4",
            ),
        ];
        for (english, german) in pairs {
            assert_eq!(say(english, Language::De), german);
            assert_eq!(say(english, Language::En), english);
        }
        for own in [
            "My warm-up",
            "Warm-up: long",
            "from the top",
            "",
            "::",
            "a: b: c",
        ] {
            assert_eq!(say(own, Language::De), own);
        }
    }

    #[test]
    fn a_text_that_is_nested_without_end_is_said_all_the_same() {
        let deep = format!("{}x", "a: ".repeat(20_000));
        assert_eq!(say(&deep, Language::De), deep);
        let again = format!("x{}", ", again".repeat(20_000));
        assert!(say(&again, Language::De).starts_with('x'));
    }
}
