//! The fonts that pages and pictures are set in: carried in the program, open (SIL OFL 1.1).
//!
//! Text in a script that they do not cover falls back to the fonts of the system.

pub(crate) mod embed;

use std::sync::{Arc, OnceLock};

use resvg::usvg::fontdb::Database;

/// Family name of the reading font, as an SVG names it.
pub const SERIF: &str = "Source Serif 4";
/// Family name of the font for figures, labels and pictures.
pub const SANS: &str = "Source Sans 3";

/// One font file: family, weight (CSS), italic, data.
pub struct Face {
    /// Family name.
    pub family: &'static str,
    /// CSS weight.
    pub weight: u16,
    /// True for an italic.
    pub italic: bool,
    /// The TrueType file.
    pub data: &'static [u8],
}

macro_rules! face {
    ($family:expr, $weight:expr, $italic:expr, $file:literal) => {
        Face {
            family: $family,
            weight: $weight,
            italic: $italic,
            data: include_bytes!(concat!("../../fonts/", $file)),
        }
    };
}

/// All font files that the program carries; a server can offer them to its pages.
pub static FACES: [Face; 5] = [
    face!(SERIF, 400, false, "SourceSerif4_400Regular.ttf"),
    face!(SERIF, 400, true, "SourceSerif4_400Regular_Italic.ttf"),
    face!(SERIF, 600, false, "SourceSerif4_600SemiBold.ttf"),
    face!(SANS, 400, false, "SourceSans3_400Regular.ttf"),
    face!(SANS, 600, false, "SourceSans3_600SemiBold.ttf"),
];

/// The fonts of the program, then those of the system for scripts that ours do not cover.
///
/// Loaded once. System fonts are only looked for here, when a page becomes PDF or PNG.
#[must_use]
pub fn database() -> Arc<Database> {
    static DATABASE: OnceLock<Arc<Database>> = OnceLock::new();
    Arc::clone(DATABASE.get_or_init(|| {
        let mut database = own();
        database.load_system_fonts();
        Arc::new(database)
    }))
}

fn own() -> Database {
    let mut database = Database::new();
    for face in &FACES {
        database.load_font_data(face.data.to_vec());
    }
    database.set_serif_family(SERIF);
    database.set_sans_serif_family(SANS);
    database
}

/// A way of setting text: family, weight, slant and size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Family name: [`SERIF`] or [`SANS`].
    pub family: &'static str,
    /// CSS weight: 400 or 600.
    pub weight: u16,
    /// True for italics.
    pub italic: bool,
    /// Size in the units of the picture (points on a page).
    pub size: f64,
}

impl Type {
    /// Upright reading text.
    #[must_use]
    pub const fn serif(size: f64) -> Self {
        Self {
            family: SERIF,
            weight: 400,
            italic: false,
            size,
        }
    }

    /// Upright text for figures and labels.
    #[must_use]
    pub const fn sans(size: f64) -> Self {
        Self {
            family: SANS,
            weight: 400,
            italic: false,
            size,
        }
    }

    /// The same, semi-bold.
    #[must_use]
    pub const fn bold(self) -> Self {
        Self {
            weight: 600,
            ..self
        }
    }

    /// The same, in italics.
    #[must_use]
    pub const fn italic(self) -> Self {
        Self {
            italic: true,
            ..self
        }
    }

    /// Width of a text, from the advance widths of the font; one em for a character that the
    /// font lacks (that of most scripts that need another font, or wider).
    #[must_use]
    pub fn width(self, text: &str) -> f64 {
        let ems: f64 = text.chars().map(|c| self.advance(c)).sum();
        ems * self.size
    }

    /// Advance width of a character in ems.
    fn advance(self, c: char) -> f64 {
        static WIDTHS: OnceLock<Vec<Vec<f32>>> = OnceLock::new();
        let widths = WIDTHS.get_or_init(|| FACES.iter().map(advances).collect());
        let face = FACES
            .iter()
            .position(|f| {
                f.family == self.family && f.weight == self.weight && f.italic == self.italic
            })
            .unwrap_or(0);
        let width = widths.get(face).and_then(|w| w.get(c as usize)).copied();
        f64::from(width.unwrap_or(1.0))
    }

    /// The text broken into lines no wider than `width`, at spaces where it can, inside a word
    /// where it must. At most `most` lines; the last one then ends in an ellipsis.
    #[must_use]
    pub fn wrap(self, text: &str, width: f64, most: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let joined = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if self.width(&joined) <= width {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                line.push(c);
                if self.width(&line) > width && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::take(&mut line));
                    line.push(c);
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                while !last.is_empty() && self.width(&format!("{last}…")) > width {
                    last.pop();
                }
                last.push('…');
            }
        }
        lines
    }
}

/// Advance widths in ems of the characters below U+3000 that a face has; 1 for the others.
fn advances(face: &Face) -> Vec<f32> {
    const END: u32 = 0x3000;
    let mut widths = vec![1.0; END as usize];
    let mut database = Database::new();
    database.load_font_data(face.data.to_vec());
    let id = database.faces().next().map(|info| info.id);
    if let Some(id) = id {
        database.with_face_data(id, |data, index| {
            let Ok(parsed) = ttf_parser::Face::parse(data, index) else {
                return;
            };
            let em = f32::from(parsed.units_per_em());
            for code in 0x20..END {
                let advance = char::from_u32(code)
                    .and_then(|c| parsed.glyph_index(c))
                    .and_then(|glyph| parsed.glyph_hor_advance(glyph));
                if let (Some(advance), Some(slot)) = (advance, widths.get_mut(code as usize)) {
                    *slot = f32::from(advance) / em;
                }
            }
        });
    }
    widths
}

/// The characters of a text that no font of the program or the system can show.
#[must_use]
pub fn missing(text: &str) -> String {
    let database = database();
    let mut lacking: Vec<char> = text
        .chars()
        .filter(|c| !c.is_control() && !c.is_whitespace())
        .collect();
    lacking.sort_unstable();
    lacking.dedup();
    lacking.retain(|&c| !in_own(c));
    if lacking.is_empty() {
        return String::new();
    }
    for info in database.faces() {
        database.with_face_data(info.id, |data, index| {
            if let Ok(face) = ttf_parser::Face::parse(data, index) {
                lacking.retain(|&c| face.glyph_index(c).is_none());
            }
        });
        if lacking.is_empty() {
            break;
        }
    }
    lacking.into_iter().collect()
}

/// Whether the reading font of the program has a character.
fn in_own(c: char) -> bool {
    FACES.first().is_some_and(|face| {
        ttf_parser::Face::parse(face.data, 0).is_ok_and(|parsed| parsed.glyph_index(c).is_some())
    })
}

#[cfg(test)]
mod tests {
    use resvg::usvg::fontdb::{Family, Query, Stretch, Style, Weight};

    use super::*;

    #[test]
    fn the_fonts_carry_the_names_that_the_pages_use() {
        let database = own();
        for face in &FACES {
            let query = Query {
                families: &[Family::Name(face.family)],
                weight: Weight(face.weight),
                stretch: Stretch::Normal,
                style: if face.italic {
                    Style::Italic
                } else {
                    Style::Normal
                },
            };
            let id = database.query(&query).unwrap();
            let info = database.face(id).unwrap();
            assert_eq!(info.weight, Weight(face.weight), "{}", face.family);
            assert_eq!(info.style == Style::Italic, face.italic);
        }
    }

    #[test]
    fn text_wraps_within_its_width_and_loses_no_word() {
        let kind = Type::serif(12.0);
        let text = "Carry one sound from the bottom of the horn to the top, evenly. ".repeat(5);
        let lines = kind.wrap(&text, 200.0, 100);
        assert!(lines.len() > 3);
        assert!(lines.iter().all(|line| kind.width(line) <= 200.0));
        assert_eq!(lines.join(" "), text.trim());
        assert!(
            kind.wrap(&"w".repeat(500), 200.0, 100)
                .iter()
                .all(|l| kind.width(l) <= 200.0)
        );
        let cut = kind.wrap(&text, 200.0, 2);
        assert_eq!(cut.len(), 2);
        assert!(cut[1].ends_with('…') && kind.width(&cut[1]) <= 200.0);
    }
}
