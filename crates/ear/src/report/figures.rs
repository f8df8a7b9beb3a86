//! How figures are written, the same in text and page: value, 95 % interval, flat and sharp.

use crate::Measure;

/// A standard uncertainty times this is half of a 95 % interval.
const INTERVAL: f64 = 1.96;

/// A measure with its 95 % interval, or why there is none.
#[must_use]
pub fn with_interval(measure: Measure, unit: &str) -> String {
    match measure {
        Measure::Known { value, uncertainty } => {
            let half = INTERVAL * uncertainty;
            let digits = digits(half);
            let gap = if unit.is_empty() { "" } else { " " };
            format!("{} ± {half:.digits$}{gap}{unit}", rounded(value, digits))
        }
        Measure::Unknown { why } => format!("not measured: {why}"),
    }
}

/// A short form for tables: a dash where there is none.
#[must_use]
pub fn short(measure: Measure) -> String {
    match measure {
        Measure::Known { value, uncertainty } => {
            let half = INTERVAL * uncertainty;
            let digits = digits(half);
            format!("{} ± {half:.digits$}", rounded(value, digits))
        }
        Measure::Unknown { .. } => "–".into(),
    }
}

/// Decimals that an interval is worth.
fn digits(half: f64) -> usize {
    usize::from(half < 2.0) + usize::from(half < 0.095)
}

/// A number without a minus before a zero.
fn rounded(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.into(),
        _ => text.replace('-', "\u{2212}"),
    }
}

/// Where a pitch lies against its target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Below by more than the interval and more than can be heard.
    Flat,
    /// Neither.
    True,
    /// Above.
    Sharp,
}

/// Deviations smaller than this are not marked, cents: what trained listeners can just tell.
const TOLD_CENTS: f64 = 5.0;

/// Flat or sharp, when it is beyond both its interval and 5 cents.
#[must_use]
pub fn side(pitch_cents: Measure) -> Side {
    match pitch_cents {
        Measure::Known { value, uncertainty }
            if value.abs() > TOLD_CENTS && value.abs() > INTERVAL * uncertainty =>
        {
            if value < 0.0 {
                Side::Flat
            } else {
                Side::Sharp
            }
        }
        _ => Side::True,
    }
}

/// The arrow that goes with a side: down for flat, up for sharp.
#[must_use]
pub fn arrow(side: Side) -> &'static str {
    match side {
        Side::Flat => "▼",
        Side::True => "",
        Side::Sharp => "▲",
    }
}

/// Minutes, seconds and tenths.
#[must_use]
pub fn clock(at_s: f64) -> String {
    let tenths = (at_s.max(0.0) * 10.0).round();
    format!(
        "{:.0}:{:04.1}",
        (tenths / 600.0).floor(),
        (tenths % 600.0) / 10.0
    )
}
