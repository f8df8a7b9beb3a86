//! A staff drawn for a picture: lines, clef, whole notes with accidentals and ledger lines.

use std::fmt::Write;

use tone::{Clef, Language, Pitch};

use super::{Theme, glyphs};
use crate::font::Type;
use crate::svg::{self, Anchor};

/// A staff at a place on a picture.
pub(super) struct Staff<'a> {
    pub x: f64,
    pub width: f64,
    /// The top line.
    pub top: f64,
    /// Distance between two lines.
    pub space: f64,
    pub clef: Clef,
    pub theme: &'a Theme,
}

impl Staff<'_> {
    /// Staff step (C0 is 0) of the top line.
    fn top_step(&self) -> i32 {
        match self.clef {
            Clef::Treble => 38, // F5
            Clef::Bass => 26,   // A3
            Clef::Tenor => 30,  // E4
            Clef::Alto => 32,   // G4
        }
    }

    /// Lines and clef.
    pub(super) fn draw(&self) -> String {
        let mut out = String::new();
        let style = format!(r#" stroke="{}""#, self.theme.ink);
        for index in 0..5 {
            let y = self.top + f64::from(index) * self.space;
            out += &svg::line(
                (self.x, y),
                (self.x + self.width, y),
                0.08 * self.space,
                &style,
            );
        }
        let (outline, line) = match self.clef {
            Clef::Treble => (glyphs::G_CLEF, 3.0),
            Clef::Bass => (glyphs::F_CLEF, 1.0),
            Clef::Tenor => (glyphs::C_CLEF, 1.0),
            Clef::Alto => (glyphs::C_CLEF, 2.0),
        };
        let y = self.top + line * self.space;
        out + &self.glyph(outline, self.x + 0.6 * self.space, y)
    }

    /// Height of a pitch's head.
    pub(super) fn y(&self, pitch: Pitch) -> f64 {
        self.top + f64::from(self.top_step() - pitch.staff_step()) * self.space / 2.0
    }

    /// A whole note with its head centred at `x`.
    pub(super) fn note(&self, pitch: Pitch, x: f64) -> String {
        let mut out = String::new();
        let above = pitch.staff_step() - self.top_step();
        let below = (self.top_step() - 8) - pitch.staff_step();
        let style = format!(r#" stroke="{}""#, self.theme.ink);
        let half = 1.25 * self.space;
        let mut ledger = |y: f64| {
            out += &svg::line((x - half, y), (x + half, y), 0.11 * self.space, &style);
        };
        for index in 1..=(above / 2).max(0) {
            ledger(self.top - f64::from(index) * self.space);
        }
        for index in 1..=(below / 2).max(0) {
            ledger(self.top + (4.0 + f64::from(index)) * self.space);
        }
        let y = self.y(pitch);
        out += &self.glyph(glyphs::WHOLE, x - 0.81 * self.space, y);
        let sign = match pitch.alter {
            1 => Some(glyphs::SHARP),
            -1 => Some(glyphs::FLAT),
            _ => None,
        };
        if let Some(sign) = sign {
            out += &self.glyph(sign, x - 2.3 * self.space, y);
        }
        out
    }

    fn glyph(&self, outline: &str, x: f64, y: f64) -> String {
        let scale = self.space / glyphs::UNITS_PER_SPACE;
        let mut out = String::new();
        let _ = write!(
            out,
            r#"<path transform="translate({} {}) scale({scale:.5} -{scale:.5})" d="{outline}" fill="{}"/>"#,
            svg::number(x),
            svg::number(y),
            self.theme.ink,
        );
        out
    }
}

/// A pitch in plain letters, for descriptions: `B flat 4`.
pub(super) fn name(pitch: Pitch, language: Language) -> String {
    if language != Language::En {
        return pitch.named(language);
    }
    let sign = match pitch.alter {
        0 => "",
        n if n < 0 => " flat",
        _ => " sharp",
    };
    format!("{:?}{sign} {}", pitch.letter, pitch.octave)
}

/// A pitch as people write it, centred at `x` on a base line: letter, drawn sign, octave. (Text
/// fonts seldom have the signs.)
pub(super) fn name_at(
    pitch: Pitch,
    language: Language,
    (x, y): (f64, f64),
    kind: Type,
    colour: &str,
) -> String {
    if language != Language::En {
        let fill = format!(r#" fill="{colour}""#);
        return svg::text(x, y, Anchor::Middle, kind, &fill, &pitch.named(language));
    }
    let letter = format!("{:?}", pitch.letter);
    let octave = pitch.octave.to_string();
    let sign = match pitch.alter {
        0 => None,
        n if n < 0 => Some(glyphs::FLAT),
        _ => Some(glyphs::SHARP),
    };
    let gap = if sign.is_some() {
        0.42 * kind.size
    } else {
        0.0
    };
    let left = x - (kind.width(&letter) + gap + kind.width(&octave)) / 2.0;
    let fill = format!(r#" fill="{colour}""#);
    let mut out = svg::text(left, y, Anchor::Start, kind, &fill, &letter);
    let after = left + kind.width(&letter);
    if let Some(outline) = sign {
        let scale = 0.36 * kind.size / glyphs::UNITS_PER_SPACE;
        let _ = write!(
            out,
            r#"<path transform="translate({} {}) scale({scale:.5} -{scale:.5})" d="{outline}" fill="{colour}"/>"#,
            svg::number(after + 0.06 * kind.size),
            svg::number(y - 0.32 * kind.size),
        );
    }
    out + &svg::text(after + gap, y, Anchor::Start, kind, &fill, &octave)
}
