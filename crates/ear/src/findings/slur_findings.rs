//! Findings about slurs: caught partials, slow ones, dips and overshoots.

use std::collections::BTreeMap;

/// A finding from one measure: its kind, the unit of its number, the measure.
type Simple = (FindingKind, &'static str, fn(&Slur) -> Measure);

use super::gather::{At, INTERVAL, finding};
use super::{Finding, FindingKind, limits, words};
use crate::Measure;
use crate::report::{Line, Note, Report, Slur};
use crate::room::SlurTrust;

/// Finds them; nothing in a room in which slurs can't be judged.
pub(super) fn find(report: &Report) -> Vec<Finding> {
    if report.room.slurs == SlurTrust::Poor {
        return Vec::new();
    }
    let mut found = caught(report);
    let simple: [Simple; 3] = [
        (FindingKind::SlowSlur, "slurs take long", |s| s.slur_ms),
        (FindingKind::Dip, "slurs fall in the middle", |s| s.dip_db),
        (FindingKind::Overshoot, "slurs go past the new note", |s| {
            s.overshoot_cents
        }),
    ];
    for (kind, what, of) in simple {
        found.extend(each(report, kind, what, of));
    }
    found
}

fn entered<'a>(line: &'a Line, slur: &Slur) -> Option<&'a Note> {
    line.notes
        .iter()
        .find(|n| n.id == slur.to && n.from_s <= slur.to_s + 0.5 && n.to_s >= slur.from_s)
}

fn caught(report: &Report) -> Vec<Finding> {
    let mut groups: BTreeMap<(String, String, u8), Vec<At<'_>>> = BTreeMap::new();
    let mut slurs: BTreeMap<(String, String), usize> = BTreeMap::new();
    for line in &report.lines {
        for slur in &line.slurs {
            *slurs.entry(slur.names.clone()).or_default() += 1;
            for caught in &slur.caught {
                let (Measure::Known { value, uncertainty }, Some(note)) =
                    (caught.held_ms, entered(line, slur))
                else {
                    continue;
                };
                let key = (
                    slur.names.0.clone(),
                    slur.names.1.clone(),
                    caught.tube.partial,
                );
                groups.entry(key).or_default().push(At {
                    line,
                    note,
                    value,
                    uncertainty,
                });
            }
        }
    }
    let mut found = Vec::new();
    for ((from, to, partial), mut figures) in groups {
        figures.sort_by(|a, b| b.value.total_cmp(&a.value));
        let Some(worst) = figures.first().copied() else {
            continue;
        };
        let of = slurs
            .get(&(from.clone(), to.clone()))
            .copied()
            .unwrap_or(figures.len());
        let which = if partial == 0 {
            "a note between".into()
        } else {
            format!("partial {partial}")
        };
        let text = format!(
            "From {from} to {to}, {which} is caught in {} of {of} slurs: longest {} ({}).",
            figures.len(),
            words::figure(worst.value, worst.uncertainty, "ms"),
            words::place(worst.line, worst.note.from_s),
        );
        found.extend(finding(
            FindingKind::Caught,
            text,
            &figures,
            worst.value,
            worst.uncertainty,
        ));
    }
    found
}

fn each(
    report: &Report,
    kind: FindingKind,
    what: &str,
    of: impl Fn(&Slur) -> Measure,
) -> Option<Finding> {
    let limit = limits::of(kind).limit;
    let mut figures = Vec::new();
    let mut measured = 0;
    for line in &report.lines {
        for slur in &line.slurs {
            let Measure::Known { value, uncertainty } = of(slur) else {
                continue;
            };
            measured += 1;
            if let (true, Some(note)) =
                (value - INTERVAL * uncertainty > limit, entered(line, slur))
            {
                figures.push((
                    At {
                        line,
                        note,
                        value,
                        uncertainty,
                    },
                    slur,
                ));
            }
        }
    }
    figures.sort_by(|a, b| b.0.value.total_cmp(&a.0.value));
    let (worst, slur) = *figures.first()?;
    let text = format!(
        "{} of {measured} {what}: most {} to {} ({}), {}.",
        figures.len(),
        slur.names.0,
        slur.names.1,
        words::place(worst.line, slur.from_s),
        words::figure(worst.value, worst.uncertainty, limits::of(kind).unit),
    );
    let figures: Vec<At<'_>> = figures.into_iter().map(|f| f.0).collect();
    finding(kind, text, &figures, worst.value, worst.uncertainty)
}
