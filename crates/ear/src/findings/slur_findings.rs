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

/// Which slurs are the same movement.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Movement {
    /// Between two partials of one length, whichever length it is.
    Partials(u8, u8),
    /// Between two notes by their names.
    Names(String, String),
}

impl Movement {
    fn of(line: &Line, slur: &Slur) -> Self {
        let left = line.notes.iter().find(|n| n.id == slur.from);
        match left.zip(entered(line, slur)) {
            Some((from, to))
                if from.partial > 0
                    && to.partial > 0
                    && from.fingering.is_some()
                    && from.fingering == to.fingering =>
            {
                Self::Partials(from.partial, to.partial)
            }
            _ => Self::Names(slur.names.0.clone(), slur.names.1.clone()),
        }
    }
}

/// A slur in which a partial was caught.
#[derive(Clone, Copy)]
struct Catch<'a> {
    at: At<'a>,
    slur: &'a Slur,
}

fn caught(report: &Report) -> Vec<Finding> {
    let mut groups: BTreeMap<(Movement, u8), Vec<Catch<'_>>> = BTreeMap::new();
    let mut slurs: BTreeMap<Movement, usize> = BTreeMap::new();
    for line in &report.lines {
        for slur in &line.slurs {
            let movement = Movement::of(line, slur);
            *slurs.entry(movement.clone()).or_default() += 1;
            for caught in &slur.caught {
                let (Measure::Known { value, uncertainty }, Some(note)) =
                    (caught.held_ms, entered(line, slur))
                else {
                    continue;
                };
                let at = At {
                    line,
                    note,
                    value,
                    uncertainty,
                };
                let group = (movement.clone(), caught.tube.partial);
                groups.entry(group).or_default().push(Catch { at, slur });
            }
        }
    }
    groups
        .into_iter()
        .filter_map(|((movement, partial), catches)| {
            let of = slurs.get(&movement).copied().unwrap_or(catches.len());
            caught_in(&movement, partial, catches, of)
        })
        .collect()
}

fn caught_in(
    movement: &Movement,
    partial: u8,
    mut catches: Vec<Catch<'_>>,
    of: usize,
) -> Option<Finding> {
    catches.sort_by(|a, b| b.at.value.total_cmp(&a.at.value));
    let Catch { at: worst, slur } = *catches.first()?;
    let which = match partial {
        0 => "a note between".into(),
        _ => format!("partial {partial}"),
    };
    let place = words::place(worst.line, worst.note.from_s);
    let (moving, place) = match movement {
        Movement::Partials(from, to) => (
            format!("From partial {from} to {to} of one length"),
            format!("{} to {}, {place}", slur.names.0, slur.names.1),
        ),
        Movement::Names(from, to) => (format!("From {from} to {to}"), place),
    };
    let slurs = if of == 1 { "slur" } else { "slurs" };
    let text = format!(
        "{moving}, {which} is caught in {} of {of} {slurs}: longest {} ({place}).",
        catches.len(),
        words::figure(worst.value, worst.uncertainty, "ms"),
    );
    let figures: Vec<At<'_>> = catches.iter().map(|c| c.at).collect();
    finding(
        FindingKind::Caught,
        text,
        &figures,
        worst.value,
        worst.uncertainty,
    )
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::TubePartial;
    use crate::report::OtherPartial;

    fn note(id: &str, partial: u8, fingering: &str) -> Note {
        Note {
            id: id.into(),
            partial,
            fingering: Some(fingering.into()),
            to_s: 1.0,
            ..Note::default()
        }
    }

    /// A slur of one line from partial 6 to 4, partial 5 caught for some milliseconds.
    fn line(id: &str, fingerings: (&str, &str), ms: f64) -> Line {
        let (from, to) = (format!("{id}n1"), format!("{id}n2"));
        let tube = TubePartial {
            partial: 5,
            hz: 587.0,
        };
        Line {
            id: id.into(),
            notes: vec![note(&from, 6, fingerings.0), note(&to, 4, fingerings.1)],
            slurs: vec![Slur {
                names: (format!("F5 of {id}"), format!("Bb4 of {id}")),
                caught: vec![OtherPartial {
                    tube,
                    held_ms: Measure::known(ms, 5.0),
                    from_s: 0.5,
                    confidence: 0.9,
                }],
                from,
                to,
                ..Slur::default()
            }],
            ..Line::default()
        }
    }

    #[test]
    fn the_same_movement_on_every_length_is_one_finding() {
        let open = line("l1", ("0", "0"), 30.0);
        let first = line("l2", ("1", "1"), 46.0);
        let across = line("l3", ("0", "2"), 20.0);
        let report = Report {
            lines: vec![open, first, across],
            ..Report::default()
        };
        let found = caught(&report);
        let words: Vec<&str> = found.iter().map(|f| f.words.as_str()).collect();
        assert_eq!(words.len(), 2, "{words:?}");
        assert!(words[0].starts_with(
            "From partial 6 to 4 of one length, partial 5 is caught in 2 of 2 slurs: longest 46"
        ));
        assert!(words[0].contains("F5 of l2 to Bb4 of l2"));
        assert!(words[1].starts_with(
            "From F5 of l3 to Bb4 of l3, partial 5 is caught in 1 of 1 slur: longest 20"
        ));
    }
}
