//! Writing SVG: escaped text set in our fonts, lines, numbers short enough to read.

use std::fmt::Write;

use crate::font::Type;
use crate::musicxml::printable;

/// Where a text stands against its x.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// Text with the characters escaped that XML keeps for itself, and those left out that it forbids.
#[must_use]
pub fn escape(text: &str) -> String {
    let clean = printable(text);
    quick_xml::escape::escape(clean.as_str()).into_owned()
}

/// A number with at most two decimals, as short as it goes.
#[must_use]
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let rounded = (value * 100.0).round() / 100.0;
    // No minus zero.
    format!("{}", rounded + 0.0)
}

/// A `text` element. `extra` holds further attributes, beginning with a space, or is empty.
#[must_use]
pub fn text(x: f64, y: f64, anchor: Anchor, kind: Type, extra: &str, content: &str) -> String {
    let anchor = match anchor {
        Anchor::Start => "",
        Anchor::Middle => r#" text-anchor="middle""#,
        Anchor::End => r#" text-anchor="end""#,
    };
    let generic = if kind.family == crate::font::SERIF {
        "serif"
    } else {
        "sans-serif"
    };
    let mut out = format!(
        r#"<text x="{}" y="{}"{anchor} font-family="'{}', {generic}" font-size="{}""#,
        number(x),
        number(y),
        kind.family,
        number(kind.size),
    );
    if kind.weight != 400 {
        let _ = write!(out, r#" font-weight="{}""#, kind.weight);
    }
    if kind.italic {
        out.push_str(r#" font-style="italic""#);
    }
    let _ = write!(out, "{extra}>{}</text>", escape(content));
    out
}

/// A straight line. `style` holds further attributes, beginning with a space.
#[must_use]
pub fn line(from: (f64, f64), to: (f64, f64), width: f64, style: &str) -> String {
    format!(
        r#"<line x1="{}" y1="{}" x2="{}" y2="{}" stroke-width="{}"{style}/>"#,
        number(from.0),
        number(from.1),
        number(to.0),
        number(to.1),
        number(width),
    )
}

/// A document of this size with a title and a description for those who cannot see it.
#[must_use]
pub fn document(
    size: (f64, f64),
    unit: &str,
    title: &str,
    description: &str,
    body: &str,
) -> String {
    let (width, height) = (number(size.0), number(size.1));
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}{unit}" height="{height}{unit}" viewBox="0 0 {width} {height}" role="img"><title>{}</title><desc>{}</desc>{body}</svg>"#,
        escape(title),
        escape(description),
    )
}

/// Width, height and content of an SVG document, to be set into another, without title,
/// description and style sheet at its head.
///
/// # Errors
///
/// [`crate::Error::Picture`] when the text is no SVG with a `viewBox`.
pub fn inside(document: &str) -> Result<(f64, f64, String), crate::Error> {
    let failed = |what: &str| crate::Error::Picture(what.to_owned());
    let parsed = roxmltree::Document::parse(document).map_err(|e| failed(&e.to_string()))?;
    let root = parsed.root_element();
    let size: Vec<f64> = root
        .attribute("viewBox")
        .unwrap_or_default()
        .split_whitespace()
        .filter_map(|number| number.parse().ok())
        .collect();
    let [_, _, width, height] = size.as_slice() else {
        return Err(failed("the drawing has no viewBox of four numbers"));
    };
    let aside = ["title", "desc", "style"];
    let drawn =
        |n: &roxmltree::Node<'_, '_>| n.is_element() && !aside.contains(&n.tag_name().name());
    let first = root.children().find(drawn);
    let content = match (first, root.last_element_child()) {
        (Some(first), Some(last)) => document.get(first.range().start..last.range().end),
        _ => Some(""),
    };
    let content = content.unwrap_or_default().to_owned();
    if *width > 0.0 && *height > 0.0 {
        Ok((*width, *height, content))
    } else {
        Err(failed("the drawing has no size"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(2.345_678), "2.35");
        assert_eq!(number(f64::NAN), "0");
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(escape("a<b & \"c\"\u{1}"), "a&lt;b &amp; &quot;c&quot;");
    }
}
