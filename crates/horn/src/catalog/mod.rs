//! The instruments that come with the program, and the reader of instrument files.
//!
//! Each instrument is one TOML file under `instruments/`; the format is described in
//! `instruments/README.md`. A user's own file goes through the same reader.

mod error;
mod file;
mod load;
mod parts;
mod table;

use std::sync::LazyLock;

pub use error::{CatalogError, Place};
pub use table::{ReadNote, ReadingRow, reading_table};

use crate::Instrument;

macro_rules! files {
    ($($id:literal),* $(,)?) => {
        /// Id and text of every file: families in score order, in each the commonest first.
        const FILES: &[(&str, &str)] = &[
            $(($id, include_str!(concat!("../../instruments/", $id, ".toml")))),*
        ];
    };
}
files![
    "trumpet-bflat",
    "trumpet-c",
    "trumpet-eflat",
    "trumpet-piccolo",
    "cornet",
    "flugelhorn",
    "horn-double",
    "horn-tenor",
    "baritone",
    "euphonium-3",
    "euphonium-4",
    "euphonium-comp",
    "trombone-tenor",
    "trombone-tenor-f",
    "trombone-bass",
    "tuba-f",
    "tuba-eflat",
    "tuba-eflat-comp",
    "tuba-c",
    "tuba-bflat",
];

static CATALOG: LazyLock<Vec<Instrument>> = LazyLock::new(|| {
    // A test holds that every file loads; here a broken one would only be missing.
    FILES
        .iter()
        .filter_map(|(_, text)| Instrument::from_toml(text).ok())
        .collect()
});

/// The instruments that come with the program: families in score order, in each the commonest first,
/// so that the first of all is one that most players know.
///
/// ```
/// let ids: Vec<&str> = horn::catalog().iter().map(|i| i.id.as_str()).collect();
/// assert_eq!(ids[0], "trumpet-bflat");
/// assert!(ids.contains(&"tuba-bflat"));
/// ```
#[must_use]
pub fn catalog() -> &'static [Instrument] {
    &CATALOG
}

/// The instrument of the catalogue with this id.
///
/// ```
/// let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
/// assert_eq!(trumpet.lengths.len(), 8);
/// ```
#[must_use]
pub fn find(id: &str) -> Option<&'static Instrument> {
    catalog().iter().find(|instrument| instrument.id == id)
}

/// The file of a catalogue instrument: a start for a user's own.
#[must_use]
pub fn source(id: &str) -> Option<&'static str> {
    FILES
        .iter()
        .find(|(name, _)| *name == id)
        .map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_loads_under_its_own_name() {
        for (id, text) in FILES {
            match Instrument::from_toml(text) {
                Ok(instrument) => assert_eq!(&instrument.id, id),
                Err(error) => panic!("{id}.toml: {error}"),
            }
        }
    }
}
