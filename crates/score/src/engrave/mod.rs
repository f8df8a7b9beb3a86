//! Engraved pages: SVG for the screen, PDF for the printer.

mod book;
mod fingering_row;
mod kept;
mod outline;
mod rows;
mod system;
mod toolkit;

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use routine::part::{Line, Part, Section};
use routine::words::say;
use tone::Language;

use crate::barred::{self, Barred};
use crate::heard::{self, NoteMark};
use crate::layout::Layout;
use crate::musicxml;
use crate::page::{self, Block, Measures, Page, Running};
use crate::{Error, pdf};

pub use book::{booklet, class_set};
pub use toolkit::{clean_up, forget};

/// The part as pages of SVG, in points, ready for a screen.
///
/// Each note is a group whose id is the note's own id ([`routine::part::Note::id`]); the page has
/// a title and a description. Text names the fonts of [`crate::font`]; set
/// [`Layout::embed_font`] for a file that leaves the program.
///
/// # Errors
///
/// Those of [`barred::cut`], and [`Error::Engraver`].
pub fn svg_pages(part: &Part, layout: &Layout) -> Result<Vec<String>, Error> {
    let measures = Measures::of(layout);
    let pages = paged(part, layout, &measures)?;
    Ok(pages
        .iter()
        .map(|page| page::draw(page, layout, &measures))
        .collect())
}

/// Each line of the part by itself, as an SVG just as high as it needs, with the line's id.
///
/// For a stand on the screen, or to set a line into a report.
///
/// # Errors
///
/// Those of [`svg_pages`].
pub fn svg_lines(part: &Part, layout: &Layout) -> Result<Vec<(String, String)>, Error> {
    let part = &*said(part, layout);
    let measures = Measures::of(layout);
    let mut lines: Vec<(String, Vec<(f64, Block)>)> = Vec::new();
    for (line, block) in music(&barred::cut(part)?, layout, &measures)? {
        match lines.last_mut().filter(|(id, _)| *id == line.id) {
            Some((_, blocks)) => {
                let top = blocks.last().map_or(0.0, |(y, b)| y + b.height) + block.gap;
                blocks.push((top, block));
            }
            None => lines.push((line.id.clone(), vec![(measures.space, block)])),
        }
    }
    Ok(lines
        .into_iter()
        .map(|(id, blocks)| {
            let svg = page::strip(&blocks, layout, &measures);
            (id, svg)
        })
        .collect())
}

/// Parts one after the other as a PDF, each from a page of its own, with an outline.
///
/// # Errors
///
/// Those of [`svg_pages`], [`Error::Glyphs`] when no font shows a character of a text, and
/// [`Error::Pdf`].
pub fn pdf(parts: &[&Part], layout: &Layout) -> Result<Vec<u8>, Error> {
    let measures = Measures::of(layout);
    let mut pages = Vec::new();
    for part in parts {
        pages.extend(paged(part, layout, &measures)?);
    }
    let Some(first) = parts.first() else {
        return Err(Error::Empty {
            title: "the book".to_owned(),
            left_out: Vec::new(),
        });
    };
    pdf::write(&pages, &info(first, layout), &measures)
}

/// The pages of [`svg_pages`], each note tinted and captioned by what was heard of it; the marks
/// name notes by their ids, and a note without one stays as it is.
///
/// # Errors
///
/// Those of [`svg_pages`].
pub fn heard_svg_pages(
    part: &Part,
    marks: &[NoteMark],
    layout: &Layout,
) -> Result<Vec<String>, Error> {
    let measures = Measures::of(layout);
    let pages = heard_paged(part, marks, layout, &measures)?;
    Ok(pages
        .iter()
        .map(|page| page::draw(page, layout, &measures))
        .collect())
}

/// The same as a PDF.
///
/// # Errors
///
/// Those of [`pdf()`].
pub fn heard_pdf(part: &Part, marks: &[NoteMark], layout: &Layout) -> Result<Vec<u8>, Error> {
    let measures = Measures::of(layout);
    let pages = heard_paged(part, marks, layout, &measures)?;
    pdf::write(&pages, &info(part, layout), &measures)
}

fn heard_paged(
    part: &Part,
    marks: &[NoteMark],
    layout: &Layout,
    measures: &Measures,
) -> Result<Vec<Page>, Error> {
    let layout = Layout {
        captions: true,
        ..layout.clone()
    };
    let mut pages = paged(part, &layout, measures)?;
    let blocks = pages.iter_mut().flat_map(|page| &mut page.blocks);
    for (_, block) in blocks.filter(|(_, block)| block.role == page::Role::Music) {
        let (drawing, words) = heard::tint_fragment(&block.svg, marks, layout.language)?;
        block.svg = drawing;
        block.words.push_str(&words);
    }
    Ok(pages)
}

/// The document's properties for one part.
fn info(part: &Part, layout: &Layout) -> pdf::Info {
    pdf::Info {
        title: say(&part.title, layout.language),
        description: say(&part.purpose, layout.language),
        date: layout.date.clone(),
        language: layout.language,
    }
}

/// A part in the language of the page.
fn said<'a>(part: &'a Part, layout: &Layout) -> Cow<'a, Part> {
    match layout.language {
        Language::En => Cow::Borrowed(part),
        other => Cow::Owned(part.clone().in_language(other)),
    }
}

/// The pages of one part, numbered within it.
fn paged(part: &Part, layout: &Layout, measures: &Measures) -> Result<Vec<Page>, Error> {
    let part = &*said(part, layout);
    let sheets = page::flow(blocks(part, layout, measures)?, measures);
    let of = sheets.len();
    Ok(sheets
        .into_iter()
        .enumerate()
        .map(|(index, blocks)| Page {
            blocks,
            running: Running {
                left: part.title.clone(),
                right: running_right(part),
                top: index > 0,
                number: index + 1,
                of,
            },
        })
        .collect())
}

/// Instrument and player.
fn running_right(part: &Part) -> String {
    let both = [part.instrument_name.as_str(), part.player.as_str()];
    let both: Vec<&str> = both.into_iter().filter(|t| !t.is_empty()).collect();
    both.join(" · ")
}

/// Everything that a part puts on paper, in order.
fn blocks(part: &Part, layout: &Layout, measures: &Measures) -> Result<Vec<Block>, Error> {
    let mut systems: HashMap<&str, Vec<Block>> = HashMap::new();
    let mut barred = barred::cut(part)?;
    barred.say_dynamics_once();
    for (line, block) in music(&barred, layout, measures)? {
        systems.entry(line.id.as_str()).or_default().push(block);
    }
    let mut blocks = page::opening(part, layout, measures);
    for (section, lines) in sections(part) {
        blocks.extend(page::section(part, section, lines, layout, measures));
        for line in lines {
            blocks.extend(systems.remove(line.id.as_str()).unwrap_or_default());
        }
    }
    blocks.extend(page::closing(part, layout, measures));
    Ok(blocks)
}

/// Exercises with their lines: the part's sections, or lines that name the same exercise.
fn sections(part: &Part) -> Vec<(Option<&Section>, &[Line])> {
    if part.sections.is_empty() {
        let same = |a: &Line, b: &Line| a.exercise == b.exercise;
        return part
            .lines
            .chunk_by(same)
            .map(|lines| (None, lines))
            .collect();
    }
    part.sections
        .iter()
        .filter(|s| s.line_count > 0)
        .filter_map(|s| {
            let end = s.first_line.checked_add(s.line_count)?;
            Some((Some(s), part.lines.get(s.first_line..end)?))
        })
        .collect()
}

/// The systems of a part with the line that each belongs to.
fn music<'a>(
    barred: &Barred<'a>,
    layout: &Layout,
    measures: &Measures,
) -> Result<Vec<(&'a Line, Block)>, Error> {
    let width = system::page_width(measures.column(), measures.space);
    let ids = ids(barred);
    let mut read = Vec::with_capacity(barred.lines.len());
    // Line by line: no line knows what follows it, so none ends in a courtesy signature.
    for line in 0..barred.lines.len() {
        for drawn in toolkit::systems(musicxml::bare_line(barred, line)?, width)?.iter() {
            read.push((line, system::read(drawn, measures.space, &ids)?));
        }
    }
    let line_of = |owner: usize| barred.lines.get(owner).map(|cut| cut.line);
    let crowded: HashSet<&str> = read
        .iter()
        .filter_map(|(owner, system)| Some((line_of(*owner)?, system)))
        .filter(|(line, system)| rows::is_crowded(system, line, layout, measures))
        .map(|(line, _)| line.exercise.as_str())
        .collect();
    let mut placed = Vec::with_capacity(read.len());
    for (index, (owner, system)) in read.iter().enumerate() {
        let Some(cut) = barred.lines.get(*owner) else {
            continue;
        };
        let neighbour = |at: Option<usize>| at.and_then(|i| read.get(i)).map(|(l, _)| *l);
        let around = rows::Around {
            line: cut.line,
            first: neighbour(index.checked_sub(1)) != Some(*owner),
            last: neighbour(index.checked_add(1)) != Some(*owner),
            tempo: new_tempo(barred.part, *owner),
            stacked: crowded.contains(cut.line.exercise.as_str()),
            rest_s: cut
                .meter
                .is_none()
                .then(|| cut.line.rest_after.seconds(cut.line.tempo)),
        };
        placed.push((cut.line, rows::block(system, &around, layout, measures)));
    }
    Ok(placed)
}

/// The tempo of a line that is not the one its exercise began with or went on in.
fn new_tempo(part: &Part, index: usize) -> Option<f64> {
    let line = part.lines.get(index)?;
    let before = part.lines.get(index.checked_sub(1)?)?;
    let changed =
        before.exercise == line.exercise && before.tempo.to_bits() != line.tempo.to_bits();
    changed.then_some(line.tempo)
}

/// Ids of all notes and of the pieces that ties cut them into.
fn ids(barred: &Barred<'_>) -> HashSet<String> {
    barred
        .lines
        .iter()
        .flat_map(|line| &line.bars)
        .flat_map(|bar| &bar.symbols)
        .filter_map(|symbol| symbol.head.as_ref())
        .map(barred::Head::id)
        .collect()
}
