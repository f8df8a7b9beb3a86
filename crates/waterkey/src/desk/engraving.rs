//! Engraved pages, or a plain word when this build has no engraver.

use routine::Part;
use score::layout::Layout;

/// Why there are no pages.
#[derive(Debug, thiserror::Error)]
pub(crate) enum EngravingError {
    /// The program was built without the engraver.
    #[cfg_attr(feature = "engrave", allow(dead_code))]
    #[error("this build has no engraver; build with the feature `engrave`, which is on by default")]
    NotBuilt,
    /// The part cannot be engraved.
    #[error(transparent)]
    Score(#[from] score::Error),
}

/// The pages of a part as SVG; notes carry their ids.
#[cfg(feature = "engrave")]
pub(crate) fn svg_pages(part: &Part, layout: &Layout) -> Result<Vec<String>, EngravingError> {
    Ok(score::engrave::svg_pages(part, layout)?)
}

/// Parts as one PDF.
#[cfg(feature = "engrave")]
pub(crate) fn pdf(parts: &[&Part], layout: &Layout) -> Result<Vec<u8>, EngravingError> {
    Ok(score::engrave::pdf(parts, layout)?)
}

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn svg_pages(_part: &Part, _layout: &Layout) -> Result<Vec<String>, EngravingError> {
    Err(EngravingError::NotBuilt)
}

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn pdf(_parts: &[&Part], _layout: &Layout) -> Result<Vec<u8>, EngravingError> {
    Err(EngravingError::NotBuilt)
}

/// Takes away what the engraver left in the temporary folder; called once, at the end.
pub(crate) fn clean_up() {
    // What cannot be removed is a few megabytes in a folder that the system empties.
    #[cfg(feature = "engrave")]
    score::engrave::clean_up().ok();
}
