//! Paper, ink, axes: what all pictures share.

use std::fmt::Write as _;

use tone::Pitch;

use crate::Length;

/// Width and height of a picture, a 16:9 slide.
pub(super) const SIZE: (f64, f64) = (1280.0, 720.0);

/// Flat is blue, sharp is orange, each always with an arrow and a figure; the rest is ink.
const STYLE: &str = "<style>\
text{font:18px system-ui,sans-serif;fill:#1d1d1b}.title{font-size:26px;font-weight:600}\
.small{font-size:15px}.end{text-anchor:end}.mid{text-anchor:middle}\
.paper{fill:#fdfcf8}.line{fill:none;stroke:#1d1d1b;stroke-width:2.5;stroke-linejoin:round}\
.thin{fill:none;stroke:#8a877f;stroke-width:1}.grid{stroke:#dcd8cd;stroke-width:1}.wall{fill:#e9e4d6;stroke:#8a877f}\
.flat{fill:#1f5fae}.sharp{fill:#b85a00}.dot{fill:#1d1d1b}\
@media (prefers-color-scheme:dark){text{fill:#ece8de}.paper{fill:#181817}.line{stroke:#ece8de}.grid{stroke:#3a3833}\
.wall{fill:#2c2a26}.flat{fill:#7db4f5}.sharp{fill:#f5a250}.dot{fill:#ece8de}}\
</style>";

/// A picture in the making.
pub(super) struct Sheet(String);

impl Sheet {
    pub(super) fn new(title: &str, height: f64) -> Self {
        let (width, _) = SIZE;
        let title = escape(title);
        Self(format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{title}\">{STYLE}\
             <rect class=\"paper\" width=\"{width}\" height=\"{height}\"/><text class=\"title\" x=\"60\" y=\"48\">{title}</text>"
        ))
    }

    pub(super) fn text(&mut self, class: &str, (x, y): (f64, f64), text: &str) {
        let _ = write!(
            self.0,
            "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\">{}</text>",
            escape(text)
        );
    }

    pub(super) fn line(&mut self, class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) {
        let _ = write!(
            self.0,
            "<line class=\"{class}\" x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\"/>"
        );
    }

    pub(super) fn dot(&mut self, (x, y): (f64, f64)) {
        let _ = write!(
            self.0,
            "<circle class=\"dot\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4.5\"/>"
        );
    }

    /// A polyline, or a closed shape with `Z` at its end.
    pub(super) fn path(
        &mut self,
        class: &str,
        points: impl Iterator<Item = (f64, f64)>,
        close: bool,
    ) {
        let _ = write!(self.0, "<path class=\"{class}\" d=\"");
        for (i, (x, y)) in points.enumerate() {
            let _ = write!(self.0, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
        }
        self.0.push_str(if close { "Z\"/>" } else { "\"/>" });
    }

    pub(super) fn finish(mut self) -> String {
        self.0.push_str("</svg>");
        self.0
    }
}

/// A length as a title names it.
pub(super) fn length_name(length: &Length) -> String {
    match (length.position, length.valves) {
        (Some(_), _) => format!("position {}", length.label),
        (None, 0) => "open tube".to_owned(),
        (None, _) => format!("valves {}", length.label),
    }
}

/// A sounding pitch with the signs of print.
pub(super) fn pitch_name(midi: i32) -> String {
    Pitch::from_midi(midi)
        .to_string()
        .replace('b', "♭")
        .replace('#', "♯")
}

/// A figure of cents with its arrow and class: never colour alone.
pub(super) fn cents_mark(cents: f64) -> (&'static str, String) {
    let rounded = cents.round();
    if rounded > 0.0 {
        ("sharp", format!("↑ {rounded:.0}"))
    } else if rounded < 0.0 {
        ("flat", format!("↓ {:.0}", -rounded))
    } else {
        ("true", "0".to_owned())
    }
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// A round step that divides `span` into about `parts`.
pub(super) fn round_step(span: f64, parts: f64) -> f64 {
    let raw = (span / parts).max(1e-12);
    let power = 10_f64.powf(raw.log10().floor());
    let share = raw / power;
    power
        * if share < 1.5 {
            1.0
        } else if share < 3.5 {
            2.0
        } else if share < 7.5 {
            5.0
        } else {
            10.0
        }
}
