//! Pictures for teaching, at slide size, in light and dark: SVG, and PNG through [`png`].

mod fingering_chart;
mod glyphs;
mod impedance;
mod natural_series;
mod staff;
mod standing_wave;

use std::sync::Arc;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

pub use fingering_chart::fingering_chart;
pub use impedance::{Peak, impedance};
pub use natural_series::natural_series;
pub use standing_wave::{Tube, standing_wave};

use crate::Error;
use crate::font::{self, Type};
use crate::svg::{self, Anchor};

/// Width of a slide.
pub const WIDTH: f64 = 1920.0;
/// Height of a slide.
pub const HEIGHT: f64 = 1080.0;
/// Space at the edges.
const EDGE: f64 = 90.0;

/// Colours of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Background.
    pub paper: &'static str,
    /// Text and notes.
    pub ink: &'static str,
    /// What stands back: grids, remarks.
    pub dim: &'static str,
    /// Flat.
    pub flat: &'static str,
    /// Sharp.
    pub sharp: &'static str,
    /// Surfaces such as the inside of a tube.
    pub wash: &'static str,
}

/// Dark on light, for paper and bright rooms.
pub const LIGHT: Theme = Theme {
    paper: "#ffffff",
    ink: "#1a1a1a",
    dim: "#6b6b6b",
    flat: crate::heard::FLAT,
    sharp: crate::heard::SHARP,
    wash: "#e9edf2",
};

/// Light on dark, for a projector.
pub const DARK: Theme = Theme {
    paper: "#14161a",
    ink: "#f2f0ea",
    dim: "#a3a6ab",
    flat: "#7db2ff",
    sharp: "#ffa552",
    wash: "#2a2f37",
};

impl Theme {
    /// Colour, arrow and figure of a deviation; within half a cent it is ink and `0`.
    fn cents(&self, cents: f64) -> (&'static str, String) {
        let whole = cents.round();
        if whole < 0.0 {
            (self.flat, format!("↓{}", svg::number(-whole)))
        } else if whole > 0.0 {
            (self.sharp, format!("↑{}", svg::number(whole)))
        } else {
            (self.ink, "0".to_owned())
        }
    }
}

/// A slide with its title and a line below it.
fn slide(title: &str, remark: &str, theme: &Theme, description: &str, body: &str) -> String {
    let head = Type::serif(52.0).bold();
    let small = Type::sans(28.0);
    let room = WIDTH - 2.0 * EDGE;
    let fit = |kind: Type, text: &str| kind.wrap(text, room, 1).pop().unwrap_or_default();
    let mut all = format!(
        r#"<rect width="{WIDTH}" height="{HEIGHT}" fill="{}"/><g fill="{}" color="{}">"#,
        theme.paper, theme.ink, theme.ink
    );
    all += &svg::text(EDGE, 105.0, Anchor::Start, head, "", &fit(head, title));
    let dim = fill(theme.dim);
    all += &svg::text(EDGE, 152.0, Anchor::Start, small, &dim, &fit(small, remark));
    all += body;
    all += "</g>";
    // A slide goes wherever its maker takes it: the fonts go along.
    all = font::embed::style(&all, "") + &all;
    svg::document((WIDTH, HEIGHT), "", title, description, &all)
}

/// A fill attribute for [`svg::text`].
fn fill(colour: &str) -> String {
    format!(r#" fill="{colour}""#)
}

/// A picture as PNG, `width` pixels wide.
///
/// # Errors
///
/// [`Error::Picture`] when the SVG cannot be read or the width is 0 or over 8192.
pub fn png(picture: &str, width: u32) -> Result<Vec<u8>, Error> {
    let failed = |what: String| Error::Picture(what);
    if width == 0 || width > 8192 {
        return Err(failed(format!("{width} pixels wide; choose 1 to 8192")));
    }
    let options = Options {
        fontdb: Arc::clone(&font::database()),
        ..Options::default()
    };
    let tree = Tree::from_str(picture, &options).map_err(|e| failed(e.to_string()))?;
    let scale = width as f32 / tree.size().width();
    let height = (tree.size().height() * scale).ceil().clamp(1.0, 16_384.0) as u32;
    let mut pixels =
        Pixmap::new(width, height).ok_or_else(|| failed("it has no size".to_owned()))?;
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut pixels.as_mut(),
    );
    pixels.encode_png().map_err(|e| failed(e.to_string()))
}
