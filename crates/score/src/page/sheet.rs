//! A page as SVG: its blocks, the line at the top of later pages, the number at the foot.

use std::collections::BTreeMap;

use super::{Block, Measures};
use crate::font::Type;
use crate::layout::Layout;
use crate::svg::{self, Anchor};
use crate::words::fill;

/// What runs along the top and foot of a page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Running {
    /// Top left of every page but the first.
    pub left: String,
    /// Top right of every page but the first.
    pub right: String,
    /// Whether the top line is drawn: not on the page that carries the title.
    pub top: bool,
    /// Number at the foot.
    pub number: usize,
    /// How many pages there are in all.
    pub of: usize,
}

/// A page ready to be drawn.
#[derive(Clone, Debug)]
pub struct Page {
    /// Blocks with the distance of their top from the top of the sheet.
    pub blocks: Vec<(f64, Block)>,
    /// Top and foot.
    pub running: Running,
}

impl Page {
    /// What the page shows, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let words: Vec<&str> = self
            .blocks
            .iter()
            .map(|(_, block)| block.words.as_str())
            .filter(|words| !words.is_empty())
            .collect();
        words.join(" ")
    }

    /// Running lines at top and foot.
    #[must_use]
    pub fn running(&self, measures: &Measures) -> String {
        let kind = Type::sans(measures.text * 0.85);
        let middle = measures.width / 2.0;
        let foot = measures.bottom + 8.0 * super::MM;
        let number = format!("{} / {}", self.running.number, self.running.of);
        let mut out = svg::text(middle, foot, Anchor::Middle, kind, "", &number);
        if self.running.top {
            let y = measures.top - 4.0 * super::MM;
            let fit = |text: &str| {
                kind.wrap(text, measures.column() * 0.48, 1)
                    .pop()
                    .unwrap_or_default()
            };
            out += &svg::text(
                measures.side,
                y,
                Anchor::Start,
                kind,
                "",
                &fit(&self.running.left),
            );
            let right = measures.width - measures.side;
            out += &svg::text(right, y, Anchor::End, kind, "", &fit(&self.running.right));
        }
        out
    }
}

/// One block in its place on the sheet.
#[must_use]
pub(crate) fn placed(top: f64, block: &Block, measures: &Measures) -> String {
    // What is taller than a page is drawn smaller, not cut.
    let scale = (measures.room() / block.height).min(1.0);
    let shrink = if scale < 1.0 {
        format!(" scale({})", svg::number(scale))
    } else {
        String::new()
    };
    let (x, y) = (svg::number(measures.side), svg::number(top));
    format!(
        r#"<g transform="translate({x} {y}){shrink}">{}</g>"#,
        block.svg
    )
}

/// The page as a complete SVG document, in points.
#[must_use]
pub fn draw(page: &Page, layout: &Layout, measures: &Measures) -> String {
    let mut defs: BTreeMap<&str, &str> = BTreeMap::new();
    let mut body = String::new();
    for (top, block) in &page.blocks {
        for (id, definition) in &block.defs {
            defs.insert(id, definition);
        }
        body += &placed(*top, block, measures);
    }
    body += &page.running(measures);
    let style = fonts(&body, layout);
    let defs: String = defs.into_values().collect();
    let title = page.blocks.iter().find(|(_, b)| b.outline.is_some());
    let title = title.map_or(page.running.left.as_str(), |(_, b)| b.words.as_str());
    svg::document(
        (measures.width, measures.height),
        "pt",
        &fill(
            layout.words().page,
            &[title, &page.running.number.to_string()],
        ),
        &page.words(),
        &format!(
            r##"{style}<defs>{defs}</defs><g color="#000" fill="currentColor" class="page">{body}</g>"##
        ),
    )
}

/// Blocks on a strip just as high as they are, a little wider than the text of a page.
#[must_use]
pub fn strip(blocks: &[(f64, Block)], layout: &Layout, measures: &Measures) -> String {
    let mut defs: BTreeMap<&str, &str> = BTreeMap::new();
    let mut body = String::new();
    let mut words = String::new();
    let mut height = 0.0_f64;
    // Italics hang over their place; on a page the margin takes that.
    let overhang = 0.25 * measures.text;
    for (top, block) in blocks {
        for (id, definition) in &block.defs {
            defs.insert(id, definition);
        }
        body += &format!(
            r#"<g transform="translate({} {})">{}</g>"#,
            svg::number(overhang),
            svg::number(*top),
            block.svg
        );
        words += &block.words;
        height = height.max(top + block.height);
    }
    let style = fonts(&body, layout);
    let defs: String = defs.into_values().collect();
    let title = words.split(':').next().unwrap_or_default();
    svg::document(
        (measures.column() + 2.0 * overhang, height),
        "pt",
        title,
        &words,
        &format!(r##"{style}<defs>{defs}</defs><g color="#000" fill="currentColor">{body}</g>"##),
    )
}

/// The fonts of a drawing as a style sheet inside it, where the layout asks for that.
fn fonts(body: &str, layout: &Layout) -> String {
    if !layout.embed_font {
        return String::new();
    }
    // What was heard is captioned with these.
    let also = if layout.captions {
        "0123456789↑↓–?chipedgks"
    } else {
        ""
    };
    crate::font::embed::style(body, also)
}
