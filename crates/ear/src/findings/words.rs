//! Plain words for places and figures.

use crate::Measure;
use crate::report::{Line, Note, figures};

/// The note as the player knows it: written when the part is known, with the sounding name.
pub(super) fn note(note: &Note) -> String {
    match &note.written {
        Some(written) if *written != note.name => format!("{written} (sounding {})", note.name),
        _ => note.name.clone(),
    }
}

/// The line and the time in it.
pub(super) fn place(line: &Line, at_s: f64) -> String {
    let label = if line.label.is_empty() {
        &line.id
    } else {
        &line.label
    };
    let again = match line.pass {
        0 => String::new(),
        n => format!(", time {}", n + 1),
    };
    format!("line {label}{again} at {}", time(at_s))
}

/// A time as minutes and seconds.
pub(super) fn time(at_s: f64) -> String {
    let tenths = (at_s * 10.0).round();
    format!(
        "{:.0}:{:04.1}",
        (tenths / 600.0).floor(),
        (tenths % 600.0) / 10.0
    )
}

/// A figure with its 95 % interval, as everywhere in the report.
pub(super) fn figure(value: f64, uncertainty: f64, unit: &str) -> String {
    figures::with_interval(Measure::known(value, uncertainty), unit)
}

/// A count, with its 95 % interval where that reaches to another count.
pub(super) fn count(count: usize, uncertainty: f64, of: &str) -> String {
    let half = (1.96 * uncertainty).round();
    if half < 1.0 {
        format!("{count} {of}")
    } else {
        format!("{count} ± {half:.0} {of}")
    }
}

/// "once", "twice", "5 times".
pub(super) fn times(count: usize) -> String {
    match count {
        1 => "once".into(),
        2 => "twice".into(),
        n => format!("{n} times"),
    }
}
