//! The input impedance of a tube against frequency, with its peaks named.

use std::fmt::Write;

use super::{EDGE, Theme, WIDTH, fill, slide};
use crate::Error;
use crate::font::Type;
use crate::svg::{self, Anchor};

/// A peak of the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Peak {
    /// Frequency in hertz.
    pub frequency: f64,
    /// Height in the unit of the curve.
    pub height: f64,
    /// What stands above it, such as `4 · B♭4`.
    pub label: String,
}

/// Where the plot stands on the slide: left, right, top, bottom.
const PLOT: (f64, f64, f64, f64) = (EDGE + 110.0, WIDTH - EDGE, 230.0, 930.0);

/// A curve of `(frequency in Hz, magnitude in MPa.s/m3)` in rising order of frequency.
///
/// # Errors
///
/// [`Error::Picture`] for fewer than two points, or values that are not finite or negative.
pub fn impedance(
    title: &str,
    remark: &str,
    curve: &[(f64, f64)],
    peaks: &[Peak],
    theme: &Theme,
) -> Result<String, Error> {
    let sound = curve
        .iter()
        .all(|(f, z)| f.is_finite() && z.is_finite() && *z >= 0.0);
    let (Some(first), Some(last)) = (curve.first(), curve.last()) else {
        return Err(Error::Picture("the curve has no points".to_owned()));
    };
    if curve.len() < 2 || !sound || last.0 <= first.0 {
        return Err(Error::Picture(
            "the curve needs two points or more, finite, in rising order".to_owned(),
        ));
    }
    let most = curve.iter().map(|(_, z)| *z).fold(0.0, f64::max);
    let tall = nice_step(most.max(1e-9) / 4.0);
    let ceiling = (most * 1.08 / tall).ceil() * tall;
    let (left, right, top, bottom) = PLOT;
    let x = |f: f64| left + (f - first.0) / (last.0 - first.0) * (right - left);
    let y = |z: f64| bottom - z / ceiling * (bottom - top);
    let mut body = axes((first.0, last.0), (ceiling, tall), &x, &y, theme);
    let mut path = String::new();
    for (index, (f, z)) in curve.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        let _ = write!(
            path,
            "{letter}{} {}",
            svg::number(x(*f)),
            svg::number(y(*z))
        );
    }
    let _ = write!(
        body,
        r#"<path d="{path}L{} {bottom}L{} {bottom}Z" fill="{}"/><path d="{path}" fill="none" stroke="{}" stroke-width="3.5" stroke-linejoin="round"/>"#,
        svg::number(x(last.0)),
        svg::number(x(first.0)),
        theme.wash,
        theme.ink,
    );
    let kind = Type::sans(26.0).bold();
    for peak in peaks
        .iter()
        .filter(|p| (first.0..=last.0).contains(&p.frequency))
    {
        let (px, py) = (x(peak.frequency), y(peak.height.clamp(0.0, ceiling)));
        body += &svg::text(px, py - 46.0, Anchor::Middle, kind, "", &peak.label);
        let hertz = format!("{:.0}", peak.frequency);
        let small = Type::sans(22.0);
        body += &svg::text(
            px,
            py - 16.0,
            Anchor::Middle,
            small,
            &fill(theme.dim),
            &hertz,
        );
    }
    let words: Vec<String> = peaks
        .iter()
        .map(|p| {
            format!(
                "{} at {:.0} Hz, height {:.0}",
                p.label, p.frequency, p.height
            )
        })
        .collect();
    Ok(slide(title, remark, theme, &words.join("; "), &body))
}

/// Axes with round numbers and faint lines.
fn axes(
    (from, to): (f64, f64),
    (ceiling, tall): (f64, f64),
    x: &impl Fn(f64) -> f64,
    y: &impl Fn(f64) -> f64,
    theme: &Theme,
) -> String {
    let (left, right, _, bottom) = PLOT;
    let kind = Type::sans(24.0);
    let dim = fill(theme.dim);
    let faint = format!(r#" stroke="{}" stroke-opacity="0.35""#, theme.dim);
    let mut out = String::new();
    let count = (ceiling / tall).round() as u32;
    for index in 0..=count.min(40) {
        let z = f64::from(index) * tall;
        out += &svg::line((left, y(z)), (right, y(z)), 1.5, &faint);
        out += &svg::text(
            left - 16.0,
            y(z) + 8.0,
            Anchor::End,
            kind,
            &dim,
            &svg::number(z),
        );
    }
    let step = nice_step((to - from) / 8.0);
    let mut f = (from / step).ceil() * step;
    for _ in 0..40 {
        if f > to {
            break;
        }
        out += &svg::line((x(f), bottom), (x(f), bottom + 10.0), 2.0, &faint);
        out += &svg::text(
            x(f),
            bottom + 42.0,
            Anchor::Middle,
            kind,
            &dim,
            &svg::number(f),
        );
        f += step;
    }
    out += &svg::text(
        right,
        bottom + 88.0,
        Anchor::End,
        kind,
        &dim,
        "frequency in Hz",
    );
    out += &svg::text(
        left,
        206.0,
        Anchor::Start,
        kind,
        &dim,
        "input impedance in MPa·s/m³",
    );
    out
}

/// The round step (1, 2 or 5 times a power of ten) next above a length.
fn nice_step(length: f64) -> f64 {
    let power = 10_f64.powf(length.max(1e-12).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= length * 0.999)
        .unwrap_or(10.0 * power)
}
