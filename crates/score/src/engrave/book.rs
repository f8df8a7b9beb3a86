//! Books: cover, contents, the exercises of one player; and the set for a whole class.

use routine::words::say;

use super::paged;
use crate::booklet::Booklet;
use crate::font::Type;
use crate::layout::Layout;
use crate::page::{Block, Measures, Page, Role, Running};
use crate::svg::{self, Anchor};
use crate::words::{Words, fill};
use crate::{Error, pdf};

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
            left_out: Vec::new(),
        });
    };
    let info = pdf::Info {
        title: first.title.to_owned(),
        description: first.subtitle.to_owned(),
        date: layout.date.clone(),
        language: layout.language,
    };
    pdf::write(&pages, &info, &measures)
}

/// A line of the contents.
struct Entry<'a> {
    title: &'a str,
    /// The page it points to; `None` for the heading of a chapter.
    page: Option<usize>,
}

/// The pages of one book.
fn bound(book: &Booklet<'_>, layout: &Layout, measures: &Measures) -> Result<Vec<Page>, Error> {
    let mut chapters = Vec::with_capacity(book.chapters.len());
    for chapter in &book.chapters {
        let mut parts = Vec::with_capacity(chapter.parts.len());
        for part in &chapter.parts {
            let title = say(&part.title, layout.language);
            parts.push((title, paged(part, layout, measures)?));
        }
        if !parts.is_empty() {
            chapters.push((say(chapter.heading, layout.language), parts));
        }
    }
    if chapters.is_empty() {
        return Err(Error::Empty {
            title: book.title.to_owned(),
            left_out: Vec::new(),
        });
    }
    let mut entries: Vec<Entry<'_>> = Vec::new();
    // Counted from the first page after the contents.
    let mut page = 1;
    if let Some((title, _)) = book.chart {
        entries.push(Entry {
            title,
            page: Some(page),
        });
        page += 1;
    }
    for (heading, parts) in &chapters {
        if !heading.is_empty() {
            entries.push(Entry {
                title: heading,
                page: None,
            });
        }
        for (title, pages) in parts {
            entries.push(Entry {
                title,
                page: Some(page),
            });
            page += pages.len();
        }
    }
    let listed = listed(entries, measures);
    let before = 1 + listed.len();
    let mut front = vec![cover(book, layout, measures)];
    for (index, entries) in listed.iter().enumerate() {
        front.push(contents(entries, before, index == 0, layout, measures));
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
    let parts = chapters.into_iter().flat_map(|(_, parts)| parts);
    pages.extend(parts.flat_map(|(_, pages)| pages));
    let of = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        page.running.number = index + 1;
        page.running.of = of;
    }
    Ok(pages)
}

/// Title, subtitle, player and date, on the upper third of the page.
fn cover(book: &Booklet<'_>, layout: &Layout, measures: &Measures) -> Vec<(f64, Block)> {
    let subtitle = say(book.subtitle, layout.language);
    let mut y = measures.height * 0.26;
    let mut blocks = Vec::new();
    let text = measures.text;
    for (content, kind, gap) in [
        (book.title, Type::serif(text * 3.4).bold(), 0.0),
        (subtitle.as_str(), Type::serif(text * 1.5).italic(), text),
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
/// Space above the heading of a chapter, unless it begins a page.
const ABOVE_CHAPTER: f64 = 0.9;
/// Height of the heading above them.
const CONTENTS_HEAD: f64 = 4.0;

/// Entries by page of the contents; no page ends in the heading of a chapter.
fn listed<'a>(entries: Vec<Entry<'a>>, measures: &Measures) -> Vec<Vec<Entry<'a>>> {
    let room = measures.room() / measures.text - CONTENTS_HEAD;
    let mut pages: Vec<Vec<Entry<'a>>> = vec![Vec::new()];
    let mut used = 0.0;
    for entry in entries {
        let needed = match entry.page {
            None if used > 0.0 => ABOVE_CHAPTER + 2.0 * ENTRY,
            None => 2.0 * ENTRY,
            Some(_) => ENTRY,
        };
        if used + needed > room && used > 0.0 {
            pages.push(Vec::new());
            used = 0.0;
        }
        if entry.page.is_none() && used > 0.0 {
            used += ABOVE_CHAPTER;
        }
        used += ENTRY;
        if let Some(page) = pages.last_mut() {
            page.push(entry);
        }
    }
    pages
}

/// One page of contents: titles with dotted leaders and page numbers. `before` is how many pages
/// stand before the one that entries count from.
fn contents(
    entries: &[Entry<'_>],
    before: usize,
    first: bool,
    layout: &Layout,
    measures: &Measures,
) -> Vec<(f64, Block)> {
    let words = layout.words();
    let text = measures.text;
    let head = Type::serif(text * 1.8).bold();
    let mut y = measures.top;
    let mut blocks = Vec::new();
    if first {
        let heading = words.contents;
        let drawing = svg::text(0.0, head.size, Anchor::Start, head, "", heading);
        let words = heading.to_owned();
        let mut block = Block::new(Role::Heading, head.size * 1.3, drawing, words);
        block.outline = Some(2);
        blocks.push((y, block));
    }
    y += CONTENTS_HEAD * text;
    for (index, entry) in entries.iter().enumerate() {
        let block = match entry.page {
            None => {
                if index > 0 {
                    y += ABOVE_CHAPTER * text;
                }
                chapter(entry.title, measures)
            }
            Some(page) => leader(entry.title, before + page, words, measures),
        };
        blocks.push((y, block));
        y += ENTRY * text;
    }
    blocks
}

/// The heading of a chapter in the contents.
fn chapter(heading: &str, measures: &Measures) -> Block {
    let kind = Type::serif(measures.text * 1.1).bold();
    let lines = kind.wrap(heading, measures.column(), 1);
    let line = lines.into_iter().next().unwrap_or_default();
    let drawing = svg::text(0.0, kind.size, Anchor::Start, kind, "", &line);
    Block::new(Role::Text, ENTRY * measures.text, drawing, line)
}

/// A title, dots, and its page.
fn leader(title: &str, page: usize, words: &Words, measures: &Measures) -> Block {
    let text = measures.text;
    let kind = Type::serif(text * 1.1);
    let lines = kind.wrap(title, measures.column() * 0.82, 1);
    let title = lines.into_iter().next().unwrap_or_default();
    let number = page.to_string();
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
    Block::new(
        Role::Text,
        ENTRY * text,
        drawing,
        fill(words.page, &[&title, &number]) + ".",
    )
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
