//! Findings about whole lines: evenness, and the same roof from line to line.

use super::gather::{At, INTERVAL, evidence, finding, weight};
use super::{Finding, FindingKind, limits, words};
use crate::Measure;
use crate::report::{Line, Report, SameRoof};

/// A finding from one measure: its kind, the unit of its number, the measure.
type Simple = (FindingKind, &'static str, fn(&Line) -> Measure);

/// Finds them.
pub(super) fn find(report: &Report) -> Vec<Finding> {
    let mut found: Vec<Finding> = report.same_roof.iter().filter_map(roof).collect();
    let simple: [Simple; 2] = [
        (FindingKind::UnevenLevel, "loudness", |l| {
            l.measures.level_spread_db
        }),
        (FindingKind::UnevenSound, "colour", |l| {
            l.measures.brightness_spread
        }),
    ];
    for (kind, what, of) in simple {
        found.extend(uneven(report, kind, what, of));
    }
    found.extend(loud(report));
    found
}

fn uneven(
    report: &Report,
    kind: FindingKind,
    what: &str,
    of: impl Fn(&Line) -> Measure,
) -> Option<Finding> {
    let limit = limits::of(kind).limit;
    let mut figures: Vec<At<'_>> = report
        .lines
        .iter()
        .filter_map(|line| match of(line) {
            Measure::Known { value, uncertainty } if value - INTERVAL * uncertainty > limit => {
                let note = line.notes.first()?;
                Some(At {
                    line,
                    note,
                    value,
                    uncertainty,
                })
            }
            _ => None,
        })
        .collect();
    figures.sort_by(|a, b| b.value.total_cmp(&a.value));
    let worst = *figures.first()?;
    let text = format!(
        "The {what} is uneven in {} of {} lines: most in {}, {} about its trend.",
        figures.len(),
        report.lines.len(),
        words::place(worst.line, worst.line.from_s),
        words::figure(worst.value, worst.uncertainty, limits::of(kind).unit),
    );
    finding(kind, text, &figures, worst.value, worst.uncertainty)
}

fn roof(roof: &SameRoof) -> Option<Finding> {
    let kind = FindingKind::RoofChanges;
    let limit = limits::of(kind);
    let Measure::Known { value, uncertainty } = roof.sound_spread_db else {
        return None;
    };
    if value - INTERVAL * uncertainty <= limit.limit {
        return None;
    }
    let furthest = roof.times.iter().max_by(|a, b| {
        let db = |m: Measure| m.value().unwrap_or(0.0);
        db(a.sound_db).total_cmp(&db(b.sound_db))
    })?;
    Some(Finding {
        kind,
        words: format!(
            "The top note {} does not stay the same sound: {} apart over {} lines, furthest in \
             line {} at {}.",
            roof.name,
            words::figure(value, uncertainty, limit.unit),
            roof.times.len(),
            furthest.line,
            words::time(furthest.at_s),
        ),
        line: None,
        notes: roof.times.iter().map(|t| t.note.clone()).collect(),
        value,
        uncertainty,
        unit: limit.unit.into(),
        limit: limit.limit,
        weight: weight(kind, value, roof.times.len()),
        evidence: Vec::new(),
    })
}

/// Loudness, only when calibrated.
fn loud(report: &Report) -> Option<Finding> {
    let kind = FindingKind::Loud;
    let limit = limits::of(kind);
    let Measure::Known { value, uncertainty } = report.take.level_dba else {
        return None;
    };
    if value - INTERVAL * uncertainty <= limit.limit {
        return None;
    }
    let loudest = report.lines.iter().flat_map(|l| &l.notes).max_by(|a, b| {
        let db = |m: Measure| m.value().unwrap_or(f64::MIN);
        db(a.measures.level_dba).total_cmp(&db(b.measures.level_dba))
    });
    Some(Finding {
        kind,
        words: format!(
            "The playing reaches {} at the microphone.",
            words::figure(value, uncertainty, limit.unit)
        ),
        line: None,
        notes: Vec::new(),
        value,
        uncertainty,
        unit: limit.unit.into(),
        limit: limit.limit,
        weight: weight(kind, value, 1),
        evidence: loudest.map(evidence).into_iter().collect(),
    })
}
