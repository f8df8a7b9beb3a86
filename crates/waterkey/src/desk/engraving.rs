//! Engraved pages, or a plain word when this build has no engraver.

use routine::Part;
use score::booklet::Booklet;
use score::heard::NoteMark;
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

/// The books of a class as one PDF, one after the other.
#[cfg(feature = "engrave")]
pub(crate) fn class_set(books: &[Booklet<'_>], layout: &Layout) -> Result<Vec<u8>, EngravingError> {
    Ok(score::engrave::class_set(books, layout)?)
}

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn class_set(
    _books: &[Booklet<'_>],
    _layout: &Layout,
) -> Result<Vec<u8>, EngravingError> {
    Err(EngravingError::NotBuilt)
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

/// The pages of a part as SVG, each note tinted and captioned by what was heard of it.
#[cfg(feature = "engrave")]
pub(crate) fn heard_pages(
    part: &Part,
    layout: &Layout,
    marks: &[NoteMark],
) -> Result<Vec<String>, EngravingError> {
    Ok(score::engrave::heard_svg_pages(part, marks, layout)?)
}

/// The same as PDF.
#[cfg(feature = "engrave")]
pub(crate) fn heard_pdf(
    part: &Part,
    layout: &Layout,
    marks: &[NoteMark],
) -> Result<Vec<u8>, EngravingError> {
    Ok(score::engrave::heard_pdf(part, marks, layout)?)
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

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn heard_pages(
    _part: &Part,
    _layout: &Layout,
    _marks: &[NoteMark],
) -> Result<Vec<String>, EngravingError> {
    Err(EngravingError::NotBuilt)
}

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn heard_pdf(
    _part: &Part,
    _layout: &Layout,
    _marks: &[NoteMark],
) -> Result<Vec<u8>, EngravingError> {
    Err(EngravingError::NotBuilt)
}

/// Takes away what the engraver left in the temporary folder; called once, at the end.
pub(crate) fn clean_up() {
    // What cannot be removed is a few megabytes in a folder that the system empties.
    #[cfg(feature = "engrave")]
    score::engrave::clean_up().ok();
}
