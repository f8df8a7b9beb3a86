//! What is seen of a page: boxes of the ink of its texts, and what lies on what.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Group, Node, Options, Rect, TextChunk, Tree};

pub fn tree(svg: &str) -> Tree {
    let options = Options {
        fontdb: score::font::database(),
        ..Options::default()
    };
    Tree::from_str(svg, &options).unwrap()
}

/// Boxes of the ink of all texts on a page with what they say.
pub fn texts(tree: &Tree) -> Vec<(String, Rect)> {
    fn walk(group: &Group, out: &mut Vec<(String, Rect)>) {
        for node in group.children() {
            match node {
                Node::Text(text) => {
                    let content: String = text.chunks().iter().map(TextChunk::text).collect();
                    // The ink itself: the box of `text` reaches from the font's ascent to its
                    // descent.
                    let ink = text.flattened().bounding_box();
                    out.push((content, ink.transform(text.abs_transform()).unwrap_or(ink)));
                }
                Node::Group(group) => walk(group, out),
                _ => {}
            }
        }
    }
    let mut out = Vec::new();
    walk(tree.root(), &mut out);
    out
}

/// Text is seen, stays on the sheet, and no two texts lie on each other.
pub fn check_texts(svg: &str) {
    if let Err(what) = look_at_texts(&tree(svg)) {
        panic!("{what}");
    }
}

/// The same as a result.
pub fn look_at_texts(tree: &Tree) -> Result<(), String> {
    let page = tree.size();
    let texts = texts(tree);
    for (content, bounds) in &texts {
        // A full stop or a dash is the smallest that is set.
        if bounds.width() <= 0.5 || bounds.height() <= 0.3 {
            return Err(format!("`{content}` has no size: {bounds:?}"));
        }
        if bounds.left() < 0.0
            || bounds.top() < 0.0
            || bounds.right() > page.width()
            || bounds.bottom() > page.height()
        {
            return Err(format!("`{content}` leaves the page: {bounds:?}"));
        }
    }
    for (index, (content, a)) in texts.iter().enumerate() {
        for (other, b) in &texts[index + 1..] {
            let apart = a.right() <= b.left()
                || b.right() <= a.left()
                || a.bottom() <= b.top()
                || b.bottom() <= a.top();
            if !apart {
                return Err(format!("`{content}` {a:?} lies on `{other}` {b:?}"));
            }
        }
    }
    Ok(())
}

/// Points of the page (of a raster of two to the point each way) that both a text and something
/// else draw on, as the first place in points and their number.
pub fn text_on_music(svg: &str) -> Option<((u32, u32), usize)> {
    let (text, music) = apart(svg);
    let (text, music) = (ink(&text), ink(&music));
    let width = text.width() as usize;
    let seen = |(a, b): (&u8, &u8)| *a > 100 && *b > 100;
    let alphas = |map: &Pixmap| -> Vec<u8> { map.pixels().iter().map(|p| p.alpha()).collect() };
    let (text, music) = (alphas(&text), alphas(&music));
    let mut both = text
        .iter()
        .zip(&music)
        .enumerate()
        .filter(|(_, pair)| seen(*pair));
    let (first, _) = both.next()?;
    let place = ((first % width / 2) as u32, (first / width / 2) as u32);
    Some((place, 1 + both.count()))
}

/// The page's texts alone, and the page without them.
fn apart(svg: &str) -> (String, String) {
    let document = roxmltree::Document::parse(svg).unwrap();
    let (mut texts, mut rest) = (svg.to_owned(), svg.to_owned());
    let mut drawn: Vec<(std::ops::Range<usize>, bool)> = document
        .descendants()
        .filter_map(|node| match node.tag_name().name() {
            "text" => Some((node.range(), true)),
            "path" | "use" | "line" | "rect" | "ellipse" | "polygon" | "polyline"
                if !node.ancestors().any(|a| a.has_tag_name("defs")) =>
            {
                Some((node.range(), false))
            }
            _ => None,
        })
        .collect();
    drawn.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
    for (range, is_text) in drawn {
        if is_text {
            rest.replace_range(range, "");
        } else {
            texts.replace_range(range, "");
        }
    }
    (texts, rest)
}

fn ink(svg: &str) -> Pixmap {
    let tree = tree(svg);
    let size = tree.size().to_int_size().scale_by(2.0).unwrap();
    let mut map = Pixmap::new(size.width(), size.height()).unwrap();
    resvg::render(&tree, Transform::from_scale(2.0, 2.0), &mut map.as_mut());
    map
}

/// How far down a page its ink goes above the page number, as a share of the page's height.
pub fn filled(tree: &Tree) -> f32 {
    let height = tree.size().height();
    let foot = height * 0.93;
    let texts = texts(tree).into_iter().map(|(_, bounds)| bounds.bottom());
    texts.filter(|y| *y < foot).fold(0.0, f32::max) / height
}
