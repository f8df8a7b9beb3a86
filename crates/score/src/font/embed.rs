//! The fonts of a drawing inside the drawing: of each face only the glyphs that its text uses.

use std::collections::BTreeSet;
use std::fmt::Write;

use allsorts::binary::read::ReadScope;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;

use super::{FACES, Face};

/// A `style` element with the fonts of all texts in a piece of SVG (without its `svg` element),
/// cut down to the characters that it sets; `also` are characters that will be put in later, in
/// any face that is there. Empty when there is no text.
#[must_use]
pub(crate) fn style(fragment: &str, also: &str) -> String {
    let wrapped = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">{fragment}</svg>"#
    );
    let Ok(document) = roxmltree::Document::parse(&wrapped) else {
        return String::new();
    };
    let mut used: [BTreeSet<char>; FACES.len()] = Default::default();
    for text in document.descendants().filter(|n| n.has_tag_name("text")) {
        let family = text.attribute("font-family").unwrap_or_default();
        let weight = text.attribute("font-weight").unwrap_or("400");
        let italic = text.attribute("font-style") == Some("italic");
        let face = FACES.iter().position(|face| {
            family.contains(face.family)
                && face.italic == italic
                && face.weight.to_string() == weight
        });
        let content = text.descendants().filter_map(|n| n.text());
        if let Some(used) = face.and_then(|face| used.get_mut(face)) {
            used.extend(content.flat_map(str::chars));
        }
    }
    let mut rules = String::new();
    for (face, used) in FACES.iter().zip(&mut used) {
        if used.is_empty() {
            continue;
        }
        used.extend(also.chars());
        let _ = write!(
            rules,
            "@font-face{{font-family:'{}';font-weight:{};font-style:{};src:url(data:font/ttf;base64,{})}}",
            face.family,
            face.weight,
            if face.italic { "italic" } else { "normal" },
            BASE64_STANDARD.encode(cut(face, used)),
        );
    }
    if rules.is_empty() {
        return rules;
    }
    format!("<style>{rules}</style>")
}

/// The font file of a face with the glyphs of these characters; the whole file should that fail.
fn cut(face: &Face, characters: &BTreeSet<char>) -> Vec<u8> {
    glyphs(face.data, characters)
        .and_then(|glyphs| {
            let font = ReadScope::new(face.data).read::<FontData<'_>>().ok()?;
            let tables = font.table_provider(0).ok()?;
            subset(
                &tables,
                &glyphs,
                &SubsetProfile::Minimal,
                CmapTarget::Unicode,
            )
            .ok()
        })
        .unwrap_or_else(|| face.data.to_vec())
}

/// Glyphs of the characters that the font has, in ascending order after that of missing ones.
fn glyphs(data: &[u8], characters: &BTreeSet<char>) -> Option<Vec<u16>> {
    let face = ttf_parser::Face::parse(data, 0).ok()?;
    let mut glyphs = BTreeSet::from([0]);
    glyphs.extend(
        characters
            .iter()
            .filter_map(|&c| face.glyph_index(c))
            .map(|glyph| glyph.0),
    );
    Some(glyphs.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::Type;
    use crate::svg::{self, Anchor};

    #[test]
    fn every_face_is_cut_to_what_is_set_in_it() {
        for face in &FACES {
            let characters: BTreeSet<char> = "Mira ÉßŁ 1-2-3 ↑".chars().collect();
            let cut = cut(face, &characters);
            assert!(cut.len() < 12_000, "{} bytes of {}", cut.len(), face.family);
            let (small, whole) = (
                ttf_parser::Face::parse(&cut, 0).unwrap(),
                ttf_parser::Face::parse(face.data, 0).unwrap(),
            );
            for c in characters {
                let advance = |font: &ttf_parser::Face<'_>| {
                    font.glyph_index(c).and_then(|g| font.glyph_hor_advance(g))
                };
                assert_eq!(advance(&small), advance(&whole), "{c} in {}", face.family);
            }
            assert!(small.glyph_index('Q').is_none());
            assert_eq!(small.units_per_em(), whole.units_per_em());
        }
    }

    #[test]
    fn only_faces_that_set_text_are_put_in() {
        let text = |kind, content| svg::text(0.0, 0.0, Anchor::Start, kind, "", content);
        let drawing = text(Type::serif(9.0).italic(), "a & b") + &text(Type::sans(9.0).bold(), "1");
        let style = style(&drawing, "2");
        assert_eq!(style.matches("@font-face").count(), 2);
        assert!(style.contains("font-style:italic") && style.contains("font-weight:600"));
        assert_eq!(super::style("<rect/>", "2"), "");
        assert_eq!(super::style("<broken", ""), "");
    }
}
