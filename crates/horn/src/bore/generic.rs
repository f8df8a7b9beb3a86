//! The generic bores and mouthpieces that come with the program.

use super::error::BoreError;
use super::file::Bore;
use super::mouthpiece::Mouthpiece;

/// Bore files by instrument id.
const BORES: &[(&str, &str)] = &[(
    "trumpet-bflat",
    include_str!("../../bores/trumpet-bflat.toml"),
)];

/// Mouthpieces to try, beside the one each bore has.
const MOUTHPIECES: &[(&str, &str)] = &[];

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
