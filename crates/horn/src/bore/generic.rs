//! The generic bores and mouthpieces that come with the program.

use super::error::BoreError;
use super::file::Bore;
use super::mouthpiece::Mouthpiece;
use super::section::Section;

macro_rules! files {
    ($folder:literal: $($id:literal),* $(,)?) => {
        &[$(($id, include_str!(concat!("../../", $folder, "/", $id, ".toml")))),*]
    };
}

/// Bore files by instrument id.
const BORES: &[(&str, &str)] = files!["bores":
    "trumpet-bflat", "trumpet-c", "trumpet-eflat", "trumpet-piccolo", "cornet", "flugelhorn",
    "horn-double", "horn-tenor", "baritone", "euphonium-3", "euphonium-4", "euphonium-comp",
    "trombone-tenor", "trombone-tenor-f", "trombone-bass", "tuba-f", "tuba-eflat",
    "tuba-eflat-comp", "tuba-c", "tuba-bflat",
];

/// Mouthpieces to try, beside the one each bore has.
const MOUTHPIECES: &[(&str, &str)] = files!["mouthpieces":
    "trumpet-shallow", "trumpet-deep", "trumpet-wide", "trombone-small", "trombone-large",
    "horn-narrow", "horn-wide", "tuba-shallow", "tuba-deep",
];

/// Leadpipes to try in place of a bore's own section of that name.
const LEADPIPES: &[(&str, &str)] =
    files!["leadpipes": "trumpet-narrow", "trumpet-wide", "trumpet-late"];

/// Ids of the instruments that have a generic bore.
pub fn generic_bore_ids() -> impl Iterator<Item = &'static str> {
    BORES.iter().map(|b| b.0)
}

/// The generic bore of an instrument.
///
/// # Errors
/// When there is none for this id.
pub fn generic_bore(id: &str) -> Result<Bore, BoreError> {
    Bore::from_toml(find("bore", BORES, id)?)
}

/// Ids of the mouthpieces that come with the program.
pub fn generic_mouthpiece_ids() -> impl Iterator<Item = &'static str> {
    MOUTHPIECES.iter().map(|m| m.0)
}

/// A mouthpiece that comes with the program.
///
/// # Errors
/// When there is none of this id.
pub fn generic_mouthpiece(id: &str) -> Result<Mouthpiece, BoreError> {
    Mouthpiece::from_toml(find("mouthpiece", MOUTHPIECES, id)?)
}

/// The file of an instrument's generic bore, to start one's own from.
///
/// # Errors
/// When there is none for this id.
pub fn generic_bore_source(id: &str) -> Result<&'static str, BoreError> {
    find("bore", BORES, id)
}

/// The file of a mouthpiece that comes with the program, to start one's own from.
///
/// # Errors
/// When there is none of this id.
pub fn generic_mouthpiece_source(id: &str) -> Result<&'static str, BoreError> {
    find("mouthpiece", MOUTHPIECES, id)
}

/// Ids of the leadpipes that come with the program.
pub fn generic_leadpipe_ids() -> impl Iterator<Item = &'static str> {
    LEADPIPES.iter().map(|l| l.0)
}

/// A leadpipe that comes with the program; [`Bore::with_section`] puts it into a bore.
///
/// # Errors
/// When there is none of this id.
pub fn generic_leadpipe(id: &str) -> Result<Section, BoreError> {
    Section::from_toml(find("leadpipe", LEADPIPES, id)?)
}

fn find(
    kind: &'static str,
    list: &[(&str, &'static str)],
    id: &str,
) -> Result<&'static str, BoreError> {
    list.iter()
        .find(|f| f.0 == id)
        .map(|f| f.1)
        .ok_or_else(|| BoreError::Unknown {
            kind,
            id: id.chars().take(60).collect(),
            known: list.iter().map(|f| f.0).collect::<Vec<_>>().join(", "),
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_loads_under_its_own_name() {
        for id in generic_bore_ids() {
            match generic_bore(id) {
                Ok(bore) => assert_eq!(bore.id, id),
                Err(error) => panic!("{id}.toml: {error}"),
            }
        }
        for id in generic_mouthpiece_ids() {
            match generic_mouthpiece(id) {
                Ok(mouthpiece) => assert_eq!(mouthpiece.id, id),
                Err(error) => panic!("{id}.toml: {error}"),
            }
        }
        let trumpet = generic_bore("trumpet-bflat").unwrap();
        for id in generic_leadpipe_ids() {
            let leadpipe =
                generic_leadpipe(id).unwrap_or_else(|error| panic!("{id}.toml: {error}"));
            let bore = trumpet.with_section(leadpipe.clone()).unwrap();
            assert_eq!(bore.sections.first(), Some(&leadpipe));
        }
        let mut other = generic_leadpipe("trumpet-wide").unwrap();
        other.name = "mouthpipe".into();
        let error = trumpet.with_section(other).unwrap_err().to_string();
        assert!(error.contains("no section `mouthpipe`"), "{error}");
    }

    /// The keys of a bore stand for the bits of its instrument's lengths.
    #[test]
    fn every_catalogue_instrument_has_a_bore_with_its_keys() {
        for instrument in crate::catalog() {
            let bore = generic_bore(&instrument.id).unwrap();
            let bits = instrument.lengths.iter().fold(0, |all, l| all | l.valves);
            assert_eq!(
                1_u32 << bore.keys.len(),
                u32::from(bits) + 1,
                "{}",
                instrument.id
            );
        }
    }
}
