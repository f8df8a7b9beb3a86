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

/// A book for one player.
// Only the engraver reads it.
#[cfg_attr(not(feature = "engrave"), allow(dead_code))]
pub(crate) struct Book<'b> {
    /// Title on the cover.
    pub(crate) title: &'b str,
    /// The line under it.
    pub(crate) subtitle: &'b str,
    /// Whose book it is.
    pub(crate) player: &'b str,
    /// The fingering chart as SVG, for a page of its own.
    pub(crate) chart: Option<&'b str>,
    /// The parts in order.
    pub(crate) parts: Vec<&'b Part>,
}

/// The books of a class as one PDF, one after the other.
#[cfg(feature = "engrave")]
pub(crate) fn class_set(books: &[Book<'_>], layout: &Layout) -> Result<Vec<u8>, EngravingError> {
    let books: Vec<score::engrave::Booklet<'_>> = books
        .iter()
        .map(|book| score::engrave::Booklet {
            title: book.title,
            subtitle: book.subtitle,
            player: book.player,
            chart: book.chart.map(|drawing| ("Fingering chart", drawing)),
            parts: book.parts.clone(),
        })
        .collect();
    Ok(score::engrave::class_set(&books, layout)?)
}

/// There is no engraver.
#[cfg(not(feature = "engrave"))]
pub(crate) fn class_set(_books: &[Book<'_>], _layout: &Layout) -> Result<Vec<u8>, EngravingError> {
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
