//! What a book holds: whose it is, a chart, and the exercises in chapters.

use routine::part::Part;

/// A book for one player.
#[derive(Clone, Debug)]
pub struct Booklet<'a> {
    /// Title on the cover.
    pub title: &'a str,
    /// A line under it, such as the name of the class.
    pub subtitle: &'a str,
    /// Whose book it is.
    pub player: &'a str,
    /// A drawing for a page of its own after the contents, such as a fingering chart, as a
    /// complete SVG document with its size in points or pixels; with its title.
    pub chart: Option<(&'a str, &'a str)>,
    /// The exercises in order.
    pub chapters: Vec<Chapter<'a>>,
}

/// Exercises that belong together.
#[derive(Clone, Debug)]
pub struct Chapter<'a> {
    /// Their heading in the contents, such as the family's name; empty for none.
    pub heading: &'a str,
    /// The exercises in order; each begins a page and is an entry of the contents.
    pub parts: Vec<&'a Part>,
}

impl<'a> Chapter<'a> {
    /// Exercises without a heading.
    #[must_use]
    pub fn plain(parts: Vec<&'a Part>) -> Self {
        Self { heading: "", parts }
    }
}
