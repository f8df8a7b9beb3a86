//! A standing wave in the tube: the bore from mouthpiece to bell, the pressure along it.

use std::fmt::Write;

use super::{EDGE, Theme, WIDTH, fill, slide};
use crate::Error;
use crate::font::Type;
use crate::svg::{self, Anchor};

/// What is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tube {
    /// Distance from the lips and radius of the bore, both in metres, in rising order.
    pub bore: Vec<(f64, f64)>,
    /// Distance from the lips in metres and amplitude of the pressure, in any unit.
    pub pressure: Vec<(f64, f64)>,
}

/// Left and right end of the tube on the slide.
const SPAN: (f64, f64) = (EDGE, WIDTH - EDGE);
/// Middle of the bore.
const BORE_Y: f64 = 340.0;
/// Middle of the wave.
const WAVE_Y: f64 = 730.0;
/// Half the height of the bore at its widest, and of the wave.
const HALF: f64 = 120.0;

/// The tube and the pressure of one of its resonances.
///
/// Radii are drawn larger than lengths; the remark should say which note it is.
///
/// # Errors
///
/// [`Error::Picture`] when either line has fewer than two points or values that are not finite.
pub fn standing_wave(
    title: &str,
    remark: &str,
    tube: &Tube,
    theme: &Theme,
) -> Result<String, Error> {
    let sound = |line: &[(f64, f64)]| {
        line.len() > 1 && line.iter().all(|(x, y)| x.is_finite() && y.is_finite())
    };
    if !sound(&tube.bore) || !sound(&tube.pressure) {
        return Err(Error::Picture(
            "the bore and the pressure need two finite points or more".to_owned(),
        ));
    }
    let length = tube
        .bore
        .iter()
        .chain(&tube.pressure)
        .map(|(x, _)| *x)
        .fold(1e-9, f64::max);
    let widest = tube.bore.iter().map(|(_, r)| r.abs()).fold(1e-9, f64::max);
    let most = tube
        .pressure
        .iter()
        .map(|(_, p)| p.abs())
        .fold(1e-9, f64::max);
    let x = |at: f64| SPAN.0 + (at / length).clamp(0.0, 1.0) * (SPAN.1 - SPAN.0);
    let mut body = String::new();
    let line = |points: &[(f64, f64)], scale: f64, middle: f64| {
        let mut path = String::new();
        for (index, (at, value)) in points.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            let y = middle - value * scale;
            let _ = write!(path, "{letter}{} {}", svg::number(x(*at)), svg::number(y));
        }
        path
    };
    let back: Vec<(f64, f64)> = tube.bore.iter().rev().map(|(at, r)| (*at, -r)).collect();
    let bore_scale = HALF / widest;
    let outline = line(&tube.bore, bore_scale, BORE_Y);
    let lower = line(&back, bore_scale, BORE_Y).replacen('M', "L", 1);
    let _ = write!(
        body,
        r#"<path d="{outline}{lower}" fill="{}" stroke="{}" stroke-width="4" stroke-linejoin="round"/>"#,
        theme.wash, theme.ink
    );
    let wave = line(&tube.pressure, HALF / most, WAVE_Y);
    let mirrored: Vec<(f64, f64)> = tube.pressure.iter().map(|(at, p)| (*at, -p)).collect();
    let mirror = line(&mirrored, HALF / most, WAVE_Y);
    let dim = format!(r#" stroke="{}""#, theme.dim);
    body += &svg::line((SPAN.0, WAVE_Y), (SPAN.1, WAVE_Y), 1.5, &dim);
    let _ = write!(
        body,
        r#"<path d="{mirror}" fill="none" stroke="{}" stroke-width="2.5" stroke-dasharray="10 8"/><path d="{wave}" fill="none" stroke="{}" stroke-width="5"/>"#,
        theme.dim, theme.ink
    );
    let nodes = crossings(&tube.pressure);
    for at in &nodes {
        let _ = write!(
            body,
            r#"<circle cx="{}" cy="{WAVE_Y}" r="9" fill="{}" stroke="{}" stroke-width="3"/>"#,
            svg::number(x(*at)),
            theme.paper,
            theme.ink
        );
    }
    let kind = Type::sans(28.0);
    let dim = fill(theme.dim);
    body += &svg::text(SPAN.0, 500.0, Anchor::Start, kind, &dim, "lips");
    body += &svg::text(SPAN.1, 500.0, Anchor::End, kind, &dim, "bell");
    let measure = format!("{} m", svg::number(length));
    body += &svg::text(
        (SPAN.0 + SPAN.1) / 2.0,
        500.0,
        Anchor::Middle,
        kind,
        &dim,
        &measure,
    );
    let below = "Pressure along the tube, now and half a cycle later. Circles: nodes, where it does not change.";
    body += &svg::text(SPAN.0, 940.0, Anchor::Start, kind, &dim, below);
    let scale = "The bore is drawn wider than it is, so that its shape can be seen.";
    body += &svg::text(SPAN.0, 985.0, Anchor::Start, kind, &dim, scale);
    let words: Vec<String> = nodes.iter().map(|at| format!("{at:.2} m")).collect();
    let description = format!("Pressure nodes at {}.", words.join(", "));
    Ok(slide(title, remark, theme, &description, &body))
}

/// Where a line crosses zero.
fn crossings(line: &[(f64, f64)]) -> Vec<f64> {
    line.windows(2)
        .filter_map(|pair| match pair {
            [(a, p), (b, q)] if p * q < 0.0 => Some(a + (b - a) * p / (p - q)),
            _ => None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_are_where_a_closed_cylinder_has_them() {
        // Closed at the lips, open at 1 m: pressure cos((2n-1) pi x / 2); n = 2 has its node at 1/3.
        let pressure: Vec<(f64, f64)> = (0..=600)
            .map(|i| f64::from(i) / 601.0)
            .map(|x| (x, (1.5 * std::f64::consts::PI * x).cos()))
            .collect();
        let nodes = crossings(&pressure);
        assert_eq!(nodes.len(), 1);
        assert!((nodes[0] - 1.0 / 3.0).abs() < 1e-3);
    }
}
