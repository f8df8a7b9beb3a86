//! Many figures of one kind into one finding.

use super::limits;
use super::{Evidence, Finding, FindingKind};
use crate::Measure;
use crate::report::{Line, Note};

/// Share of a normal spread within this many standard uncertainties: 95 %.
pub(super) const INTERVAL: f64 = 1.96;
/// Most places that one finding lists.
const MOST_PLACES: usize = 12;

/// A figure at a note.
#[derive(Clone, Copy)]
pub(super) struct At<'a> {
    pub(super) line: &'a Line,
    pub(super) note: &'a Note,
    pub(super) value: f64,
    pub(super) uncertainty: f64,
}

/// Figures of asked notes that lie beyond a kind's limit with their whole interval.
pub(super) fn beyond<'a>(
    lines: &'a [Line],
    kind: FindingKind,
    of: impl Fn(&Note) -> Measure,
) -> Vec<At<'a>> {
    let limit = limits::of(kind).limit;
    let mut found = Vec::new();
    for line in lines {
        for note in &line.notes {
            if let Measure::Known { value, uncertainty } = of(note)
                && value.abs() - INTERVAL * uncertainty > limit
            {
                found.push(At {
                    line,
                    note,
                    value,
                    uncertainty,
                });
            }
        }
    }
    // The worst first.
    found.sort_by(|a, b| b.value.abs().total_cmp(&a.value.abs()));
    found
}

/// One finding from figures, the worst first; the figure is the worst one's.
pub(super) fn finding(
    kind: FindingKind,
    words: String,
    figures: &[At<'_>],
    value: f64,
    uncertainty: f64,
) -> Option<Finding> {
    let first = figures.first()?;
    let one_line = figures
        .iter()
        .all(|f| f.line.id == first.line.id && f.line.pass == first.line.pass);
    let places = figures.iter().take(MOST_PLACES);
    Some(Finding {
        kind,
        words,
        line: one_line.then(|| first.line.id.clone()),
        notes: places.clone().map(|f| f.note.id.clone()).collect(),
        value,
        uncertainty,
        unit: limits::of(kind).unit.into(),
        limit: limits::of(kind).limit,
        weight: weight(kind, value, figures.len()),
        evidence: places.map(|f| evidence(f.note)).collect(),
    })
}

/// How much a finding matters: the kind's weight, how far beyond the limit (at most four times),
/// and the root of how often.
pub(super) fn weight(kind: FindingKind, value: f64, count: usize) -> f64 {
    let limit = limits::of(kind);
    let excess = if limit.limit > 0.0 {
        (value.abs() / limit.limit).clamp(1.0, 4.0)
    } else {
        1.0
    };
    limit.weight * excess * (count as f64).sqrt()
}

/// Where a note can be listened to.
pub(super) fn evidence(note: &Note) -> Evidence {
    Evidence {
        note: note.id.clone(),
        from_s: note.from_s,
        to_s: note.to_s,
        samples: note.samples,
    }
}
