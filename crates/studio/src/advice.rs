//! Advice: from what was found in a take to the teacher's own words, by a file anyone can edit.

use serde::{Deserialize, Serialize};

use crate::{Error, Result};

/// The starting set of words; a studio may keep its own instead.
pub const STARTING_SET: &str = include_str!("advice.toml");

/// Words for one kind of finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    /// Kind of finding, as the report names it.
    pub finding: String,
    /// Smallest size (in the finding's unit, sign left aside) that the words are for.
    #[serde(default)]
    pub at_least: f64,
    /// What to say.
    pub words: String,
    /// An exercise that helps.
    #[serde(default)]
    pub exercise: Option<String>,
}

/// What was found, as far as the words need it.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Kind of finding.
    pub finding: String,
    /// Its size, in its unit.
    pub size: f64,
    /// How much it matters among the findings, 0 to 1.
    pub weight: f64,
}

/// One piece of advice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Advice {
    /// Kind of finding it answers.
    pub finding: String,
    /// What to say.
    pub words: String,
    /// An exercise that helps.
    pub exercise: Option<String>,
    /// How much the finding matters, summed over what was found.
    pub weight: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    version: u32,
    #[serde(default)]
    advice: Vec<Words>,
}

/// Reads a file of words.
///
/// # Errors
/// [`Error::Invalid`] with the line and what is wrong there.
pub fn parse(text: &str) -> Result<Vec<Words>> {
    let file: File =
        toml::from_str(text).map_err(|error| Error::invalid("advice", error.to_string()))?;
    if file.version != 1 {
        return Err(Error::invalid("advice", "`version` must be 1"));
    }
    if let Some(words) = file.advice.iter().find(|w| w.words.trim().is_empty()) {
        return Err(Error::invalid(
            "advice",
            format!("the words for `{}` are empty", words.finding),
        ));
    }
    Ok(file.advice)
}

/// What to say about what was found: for each kind the words of the largest `at_least` that the
/// largest finding reaches, the weightiest first.
#[must_use]
pub fn advise(words: &[Words], found: &[Found]) -> Vec<Advice> {
    let mut kinds: Vec<&str> = found.iter().map(|f| f.finding.as_str()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut advice: Vec<Advice> = kinds
        .into_iter()
        .filter_map(|kind| {
            let of_kind = || found.iter().filter(|f| f.finding == kind);
            let size = of_kind().map(|f| f.size.abs()).fold(0.0, f64::max);
            let chosen = words
                .iter()
                .filter(|w| w.finding == kind && w.at_least <= size)
                .max_by(|a, b| a.at_least.total_cmp(&b.at_least))?;
            Some(Advice {
                finding: kind.into(),
                words: chosen.words.trim().into(),
                exercise: chosen.exercise.clone(),
                weight: of_kind().map(|f| f.weight).sum(),
            })
        })
        .collect();
    advice.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    advice
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_starting_set_reads_and_the_largest_fitting_words_are_chosen() {
        assert!(parse(STARTING_SET).unwrap().len() >= 10);
        let words = parse(
            "version = 1\n[[advice]]\nfinding = \"flat\"\nwords = \"a little\"\n\
             [[advice]]\nfinding = \"flat\"\nat_least = 20\nwords = \"a lot\"\n",
        )
        .unwrap();
        let found = |size, weight| Found {
            finding: "flat".into(),
            size,
            weight,
        };
        assert_eq!(advise(&words, &[found(-8.0, 0.2)])[0].words, "a little");
        let two = advise(&words, &[found(-8.0, 0.2), found(-25.0, 0.5)]);
        assert_eq!((two[0].words.as_str(), two[0].weight), ("a lot", 0.7));
        assert!(advise(&words, &[]).is_empty());
    }

    #[test]
    fn a_broken_file_says_where() {
        let error = parse("version = 1\n[[advice]]\nfinding = 3\n").unwrap_err();
        assert!(error.to_string().contains("line 3"), "{error}");
        assert!(parse("version = 2").is_err());
    }
}
