//! Findings about single notes: pitch, attacks, ends, wrong and missing ones.

use std::collections::BTreeMap;

/// A finding from one measure: its kind, the unit of its number, the measure.
type Simple = (FindingKind, &'static str, fn(&Note) -> Measure);

use super::gather::{At, INTERVAL, beyond, finding};
use super::{Finding, FindingKind, limits, words};
use crate::Measure;
use crate::measure::stats;
use crate::report::{Note, Outcome, Report};

/// Finds them.
pub(super) fn find(report: &Report) -> Vec<Finding> {
    let mut found = Vec::new();
    let shift = take_off_pitch(report, &mut found);
    pitches(report, shift, &mut found);
    wrong_and_missing(report, &mut found);
    chipped(report, &mut found);
    let simple: [Simple; 4] = [
        (FindingKind::Wander, "do not hold their pitch", |n| {
            n.measures.wander_cents
        }),
        (FindingKind::Scoop, "start off their pitch", |n| {
            n.measures.scoop_cents
        }),
        (FindingKind::SlowAttack, "take long to settle", |n| {
            n.measures.attack_ms
        }),
        (FindingKind::Sag, "move when they end", |n| {
            n.measures.sag_cents
        }),
    ];
    for (kind, what, of) in simple {
        found.extend(each(report, kind, what, of));
    }
    found
}

/// The whole take against the pitch standard; gives the shift that single notes are freed of.
fn take_off_pitch(report: &Report, found: &mut Vec<Finding>) -> f64 {
    let kind = FindingKind::TakeOffPitch;
    let Measure::Known { value, uncertainty } = report.take.pitch_cents else {
        return 0.0;
    };
    if value.abs() - INTERVAL * uncertainty <= limits::of(kind).limit || report.take.as_asked < 4 {
        return 0.0;
    }
    let notes: Vec<At<'_>> = report
        .lines
        .iter()
        .filter_map(|line| {
            line.notes.first().map(|note| At {
                line,
                note,
                value,
                uncertainty,
            })
        })
        .collect();
    let text = format!(
        "The whole take lies {}: {} against A4 = {:.1} Hz. Tune before looking at single notes.",
        side(value),
        words::figure(value.abs(), uncertainty, "cents"),
        report.tuning.a4.0
    );
    found.extend(finding(kind, text, &notes, value, uncertainty));
    value
}

fn side(cents: f64) -> &'static str {
    if cents < 0.0 { "flat" } else { "sharp" }
}

/// Notes that are off, each pitch and fingering once, whatever line they stand in.
fn pitches(report: &Report, shift: f64, found: &mut Vec<Finding>) {
    let mut groups: BTreeMap<(i32, String), Vec<At<'_>>> = BTreeMap::new();
    for line in &report.lines {
        for note in &line.notes {
            if let (Measure::Known { value, uncertainty }, Some(midi)) =
                (note.measures.pitch_cents, note.asked_midi)
            {
                let key = (midi, note.fingering.clone().unwrap_or_default());
                let value = value - shift;
                groups.entry(key).or_default().push(At {
                    line,
                    note,
                    value,
                    uncertainty,
                });
            }
        }
    }
    for ((_, fingering), mut figures) in groups {
        let values: Vec<f64> = figures.iter().map(|f| f.value).collect();
        let count = figures.len() as f64;
        let Some(mean) = stats::mean(&values) else {
            continue;
        };
        let own = figures
            .iter()
            .map(|f| f.uncertainty.powi(2))
            .sum::<f64>()
            .sqrt()
            / count;
        // Once is no tendency: a note's repeats spread by about 5 cents (common practice).
        let spread = stats::deviation(&values).map_or(5.0, |s| s.max(2.0)) / count.sqrt();
        let uncertainty = own.hypot(spread);
        let kind = if mean < 0.0 {
            FindingKind::Flat
        } else {
            FindingKind::Sharp
        };
        if mean.abs() - INTERVAL * uncertainty <= limits::of(kind).limit {
            continue;
        }
        figures.sort_by(|a, b| b.value.abs().total_cmp(&a.value.abs()));
        let Some(worst) = figures.first() else {
            continue;
        };
        let with = if fingering.is_empty() {
            String::new()
        } else {
            format!(" with {fingering}")
        };
        let beside = if shift == 0.0 {
            ""
        } else {
            " beside the take's own pitch"
        };
        let text = format!(
            "{}{with} is {} by {}{beside}, played {}; most at {}.",
            words::note(worst.note),
            side(mean),
            words::figure(mean.abs(), uncertainty, "cents"),
            words::times(figures.len()),
            words::place(worst.line, worst.note.from_s),
        );
        found.extend(finding(kind, text, &figures, mean, uncertainty));
    }
}

fn wrong_and_missing(report: &Report, found: &mut Vec<Finding>) {
    for (kind, outcomes, what) in [
        (
            FindingKind::WrongNote,
            &[Outcome::Wrong, Outcome::OtherPartial][..],
            "another note sounded",
        ),
        (
            FindingKind::MissingNote,
            &[Outcome::Missing][..],
            "nothing was heard",
        ),
    ] {
        let figures: Vec<At<'_>> = report
            .lines
            .iter()
            .flat_map(|line| {
                let out = line.notes.iter().filter(|n| outcomes.contains(&n.outcome));
                out.map(move |note| At {
                    line,
                    note,
                    value: 1.0,
                    uncertainty: 0.0,
                })
            })
            .collect();
        let Some(first) = figures.first() else {
            continue;
        };
        let count = figures.len();
        // How many of them may be the decoder's mistake: the doubt it states itself.
        let doubt = figures
            .iter()
            .map(|f| f.note.confidence * (1.0 - f.note.confidence))
            .sum::<f64>()
            .sqrt();
        let heard = first
            .note
            .heard_midi
            .filter(|m| Some(*m) != first.note.asked_midi)
            .map(|m| format!(" ({} was heard)", tone::Pitch::from_midi(m)))
            .unwrap_or_default();
        let text = format!(
            "In place of {}{} {what}{heard}: {}; first {}.",
            words::count(count, doubt, if count == 1 { "note" } else { "notes" }),
            if report.take.asked > 0 {
                format!(" of {}", report.take.asked)
            } else {
                String::new()
            },
            words::note(first.note),
            words::place(first.line, first.note.from_s),
        );
        found.extend(finding(kind, text, &figures, count as f64, doubt));
    }
}

fn chipped(report: &Report, found: &mut Vec<Finding>) {
    let kind = FindingKind::Chipped;
    let mut figures: Vec<(At<'_>, u8)> = Vec::new();
    for line in &report.lines {
        for note in &line.notes {
            if let Some(chip) = note.measures.chipped
                && let Measure::Known { value, uncertainty } = chip.held_ms
            {
                figures.push((
                    At {
                        line,
                        note,
                        value,
                        uncertainty,
                    },
                    chip.tube.partial,
                ));
            }
        }
    }
    figures.sort_by(|a, b| b.0.value.total_cmp(&a.0.value));
    let Some((worst, partial)) = figures.first().copied() else {
        return;
    };
    let text = format!(
        "{} chipped: most {} ({}), where partial {partial} sounded first for {}.",
        if figures.len() == 1 {
            "One attack".into()
        } else {
            format!("{} attacks", figures.len())
        },
        words::note(worst.note),
        words::place(worst.line, worst.note.from_s),
        words::figure(worst.value, worst.uncertainty, "ms"),
    );
    let figures: Vec<At<'_>> = figures.into_iter().map(|f| f.0).collect();
    found.extend(finding(
        kind,
        text,
        &figures,
        worst.value,
        worst.uncertainty,
    ));
}

fn each(
    report: &Report,
    kind: FindingKind,
    what: &str,
    of: impl Fn(&Note) -> Measure,
) -> Option<Finding> {
    let figures = beyond(&report.lines, kind, &of);
    let worst = *figures.first()?;
    let measured = report.lines.iter().flat_map(|l| &l.notes);
    let measured = measured.filter(|n| of(n).value().is_some()).count();
    let text = format!(
        "{} of {measured} notes {what}: most {} ({}), {}.",
        figures.len(),
        words::note(worst.note),
        words::place(worst.line, worst.note.from_s),
        words::figure(worst.value, worst.uncertainty, limits::of(kind).unit),
    );
    finding(kind, text, &figures, worst.value, worst.uncertainty)
}
