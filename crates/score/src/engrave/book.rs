//! Books: cover, contents, the exercises of one player; and the set for a whole class.

use routine::part::Part;

use super::paged;
use crate::font::Type;
use crate::layout::Layout;
use crate::page::{Block, Measures, Page, Role, Running};
use crate::svg::{self, Anchor};
use crate::{Error, pdf};

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
    /// The exercises in order; a change of [`Part::title`] begins an entry of the contents.
    pub parts: Vec<&'a Part>,
}

/// One book as a PDF.
///
/// # Errors
///
/// Those of [`super::pdf()`].
pub fn booklet(book: &Booklet<'_>, layout: &Layout) -> Result<Vec<u8>, Error> {
    class_set(std::slice::from_ref(book), layout)
}

/// The books of a class in one PDF, one after the other, each numbered for itself.
///
/// # Errors
///
/// Those of [`super::pdf()`]; the first book that fails ends it.
pub fn class_set(books: &[Booklet<'_>], layout: &Layout) -> Result<Vec<u8>, Error> {
    let measures = Measures::of(layout);
    let mut pages = Vec::new();
    for book in books {
        pages.extend(bound(book, layout, &measures)?);
    }
    let Some(first) = books.first() else {
        return Err(Error::Empty {
            title: "the class set".to_owned(),
        });
    };
    let info = pdf::Info {
        title: first.title.to_owned(),
        description: first.subtitle.to_owned(),
        date: layout.date.clone(),
    };
    pdf::write(&pages, &info, &measures)
}

/// The pages of one book.
fn bound(book: &Booklet<'_>, layout: &Layout, measures: &Measures) -> Result<Vec<Page>, Error> {
    let mut chapters = Vec::with_capacity(book.parts.len());
    for part in &book.parts {
        chapters.push((part.title.as_str(), paged(part, layout, measures)?));
    }
    if chapters.is_empty() {
        return Err(Error::Empty {
            title: book.title.to_owned(),
        });
    }
    let mut front = vec![cover(book, layout, measures)];
    let charted = usize::from(book.chart.is_some());
    let per_page = entries_per_page(measures);
    let content_pages = (chapters.len() + charted).div_ceil(per_page);
    let mut number = 1 + content_pages;
    let mut entries: Vec<(String, usize)> = Vec::new();
    if let Some((title, _)) = book.chart {
        number += 1;
        entries.push((title.to_owned(), number));
    }
    for (title, pages) in &chapters {
        entries.push(((*title).to_owned(), number + 1));
        number += pages.len();
    }
    for (index, chunk) in entries.chunks(per_page).enumerate() {
        front.push(contents(chunk, index == 0, measures));
    }
    if let Some((title, drawing)) = book.chart {
        front.push(picture(title, drawing, measures)?);
    }
    let mut pages: Vec<Page> = front
        .into_iter()
        .map(|blocks| Page {
            blocks,
            running: Running::default(),
        })
        .collect();
    pages.extend(chapters.into_iter().flat_map(|(_, pages)| pages));
    let of = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        page.running.number = index + 1;
        page.running.of = of;
    }
    Ok(pages)
}

/// Title, subtitle, player and date, on the upper third of the page.
fn cover(book: &Booklet<'_>, layout: &Layout, measures: &Measures) -> Vec<(f64, Block)> {
    let mut y = measures.height * 0.26;
    let mut blocks = Vec::new();
    let text = measures.text;
    for (content, kind, gap) in [
        (book.title, Type::serif(text * 3.4).bold(), 0.0),
        (book.subtitle, Type::serif(text * 1.5).italic(), text),
        (book.player, Type::sans(text * 1.4).bold(), text * 4.0),
        (layout.date.as_str(), Type::sans(text * 1.1), text * 0.6),
    ] {
        y += gap;
        for line in kind.wrap(content, measures.column(), 8) {
            let x = measures.column() / 2.0;
            let drawing = svg::text(x, kind.size, Anchor::Middle, kind, "", &line);
            let title = blocks.is_empty();
            let role = if title { Role::Title } else { Role::Text };
            let mut block = Block::new(role, kind.size * 1.25, drawing, line);
            if title {
                block.outline = Some(1);
                block.words = match book.player {
                    "" => book.title.to_owned(),
                    player => format!("{} ({player})", book.title),
                };
            }
            blocks.push((y, block));
            y += kind.size * 1.25;
        }
    }
    let rule = svg::line(
        (measures.column() * 0.4, 0.0),
        (measures.column() * 0.6, 0.0),
        0.8,
        r#" stroke="currentColor""#,
    );
    blocks.push((
        y + text * 1.5,
        Block::new(Role::Text, 1.0, rule, String::new()),
    ));
    blocks
}

/// Height of an entry of the contents, in sizes of the text.
const ENTRY: f64 = 1.75;
/// Height of the heading above them.
const CONTENTS_HEAD: f64 = 4.0;

fn entries_per_page(measures: &Measures) -> usize {
    let room = measures.room() - CONTENTS_HEAD * measures.text;
    ((room / (ENTRY * measures.text)).floor() as usize).max(1)
}

/// One page of contents: titles with dotted leaders and page numbers.
fn contents(entries: &[(String, usize)], first: bool, measures: &Measures) -> Vec<(f64, Block)> {
    let text = measures.text;
    let head = Type::serif(text * 1.8).bold();
    let mut y = measures.top;
    let mut blocks = Vec::new();
    if first {
        let drawing = svg::text(0.0, head.size, Anchor::Start, head, "", "Contents");
        let mut block = Block::new(
            Role::Heading,
            head.size * 1.3,
            drawing,
            "Contents".to_owned(),
        );
        block.outline = Some(2);
        blocks.push((y, block));
    }
    y += CONTENTS_HEAD * text;
    let kind = Type::serif(text * 1.1);
    for (title, number) in entries {
        let title = kind
            .wrap(title, measures.column() * 0.82, 1)
            .pop()
            .unwrap_or_default();
        let number = number.to_string();
        let (from, to) = (
            kind.width(&title) + text * 0.6,
            measures.column() - kind.width(&number) - text * 0.6,
        );
        let mut drawing = svg::text(0.0, kind.size, Anchor::Start, kind, "", &title);
        drawing += &svg::text(measures.column(), kind.size, Anchor::End, kind, "", &number);
        if to > from {
            drawing += &svg::line(
                (from, kind.size),
                (to, kind.size),
                0.7,
                r#" stroke="currentColor" stroke-dasharray="0.7 4""#,
            );
        }
        let words = format!("{title}, page {number}.");
        blocks.push((y, Block::new(Role::Text, ENTRY * text, drawing, words)));
        y += ENTRY * text;
    }
    blocks
}

/// A drawing on a page of its own, as large as the page allows.
fn picture(title: &str, drawing: &str, measures: &Measures) -> Result<Vec<(f64, Block)>, Error> {
    let text = measures.text;
    let head = Type::serif(text * 1.8).bold();
    let heading = svg::text(0.0, head.size, Anchor::Start, head, "", title);
    let mut opening = Block::new(Role::Heading, head.size * 1.3, heading, title.to_owned());
    opening.outline = Some(2);
    let (width, height, inner) = svg::inside(drawing)?;
    let room = measures.room() - CONTENTS_HEAD * text;
    let scale = (measures.column() / width).min(room / height);
    let body = format!(r#"<g transform="scale({scale:.5})">{inner}</g>"#);
    let block = Block::new(Role::Music, height * scale, body, title.to_owned());
    Ok(vec![
        (measures.top, opening),
        (measures.top + CONTENTS_HEAD * text, block),
    ])
}
