//! From samples to what was heard: against a part when one was asked for, freely when not.

use std::collections::HashSet;

use ear::input::Input;
use ear::level::Calibration;
use ear::measure::Against;
use ear::report::{Asked, Heading, Outcome, Report, Whole};
use routine::Part;
use routine::part::{Line, Section};
use score::heard::NoteMark;
use score::words::Words;
use tone::{Language, Tuning};

use super::writing::Written;

/// What is known of a take beside its sound.
#[derive(Default)]
pub(crate) struct About<'a> {
    /// What was to be played; `None` for free playing.
    pub(crate) asked: Option<&'a Written>,
    /// Whose take, of what.
    pub(crate) heading: Heading,
    /// The tuning of free playing; what was asked for has its own.
    pub(crate) tuning: Tuning,
    /// What pitch is measured against.
    pub(crate) against: Against,
    /// The level calibration.
    pub(crate) calibration: Option<Calibration>,
}

/// Hears a take.
pub(crate) fn hear(input: &Input, about: &About<'_>) -> Whole {
    let expected = about.asked.map(|written| {
        ear::expected::from_part(
            &written.part,
            &written.instrument,
            &written.chart,
            &written.tuning,
        )
    });
    ear::report::whole_of_input(
        input,
        &Asked {
            expected: expected.as_ref(),
            part: about.asked.map(|written| &written.part),
            heading: about.heading.clone(),
            tuning: about.asked.map_or(about.tuning, |written| written.tuning),
            against: about.against,
            calibration: about.calibration,
        },
    )
}

/// The heading that a part gives by itself.
pub(crate) fn heading(written: &Written) -> Heading {
    let part = &written.part;
    Heading {
        title: part.title.clone(),
        player: part.player.clone(),
        instrument: part.instrument.clone(),
        instrument_name: part.instrument_name.clone(),
        recorded: String::new(),
    }
}

/// The lines of a part that were begun; all of it when none was.
pub(crate) fn played(part: &Part, report: &Report) -> Part {
    let begun: HashSet<&str> = report.lines.iter().map(|line| line.id.as_str()).collect();
    let kept = |line: &Line| begun.contains(line.id.as_str());
    if !part.lines.iter().any(kept) {
        return part.clone();
    }
    let count = |lines: &[Line]| lines.iter().filter(|line| kept(line)).count();
    let before = |end: usize| count(part.lines.get(..end).unwrap_or(&part.lines));
    let sections = part.sections.iter().map(|section| {
        let first_line = before(section.first_line);
        let line_count = before(section.first_line + section.line_count) - first_line;
        Section {
            first_line,
            line_count,
            ..section.clone()
        }
    });
    Part {
        sections: sections.filter(|section| section.line_count > 0).collect(),
        lines: part
            .lines
            .iter()
            .filter(|line| kept(line))
            .cloned()
            .collect(),
        left_out: Vec::new(),
        ..part.clone()
    }
}

/// What a report says of each note, the last pass through a line where there were several.
pub(crate) fn marks(report: &Report, language: Language) -> Vec<NoteMark> {
    let mut marks: Vec<NoteMark> = Vec::new();
    for line in &report.lines {
        for note in &line.notes {
            let into = line.slurs.iter().filter(|slur| slur.to == note.id);
            let caught = into.flat_map(|slur| &slur.caught);
            let chipped = note.measures.chipped.is_some();
            marks.retain(|mark| mark.id != note.id);
            marks.push(NoteMark {
                id: note.id.clone(),
                cents: note.measures.pitch_cents.value(),
                missing: note.outcome == Outcome::Missing,
                caught: caught.map(|caught| caught.tube.partial).collect(),
                caption: if chipped {
                    Words::of(language).chipped.into()
                } else {
                    String::new()
                },
            });
        }
    }
    marks
}

#[cfg(test)]
mod tests {
    use ear::report::{Line, Note, NoteMeasures, OtherPartial, Slur};
    use ear::{Measure, TubePartial};

    use super::*;

    #[test]
    fn a_report_becomes_one_mark_for_each_note() {
        let note = |id: &str, outcome, cents| Note {
            id: id.into(),
            outcome,
            measures: NoteMeasures {
                pitch_cents: cents,
                ..NoteMeasures::default()
            },
            ..Note::default()
        };
        let caught = OtherPartial {
            tube: TubePartial {
                partial: 5,
                hz: 580.0,
            },
            held_ms: Measure::known(20.0, 1.0),
            from_s: 0.0,
            confidence: 1.0,
        };
        let pass = |cents| Line {
            notes: vec![
                note("l1n1", Outcome::AsAsked, Measure::known(cents, 1.0)),
                note("l1n2", Outcome::Missing, Measure::default()),
            ],
            slurs: vec![Slur {
                from: "l1n1".into(),
                to: "l1n2".into(),
                caught: vec![caught],
                ..Slur::default()
            }],
            ..Line::default()
        };
        let report = Report {
            lines: vec![pass(12.0), pass(-7.0)],
            ..Report::default()
        };
        let marks = marks(&report, Language::En);
        assert_eq!(marks.len(), 2);
        assert_eq!((marks[0].cents, marks[0].missing), (Some(-7.0), false));
        assert_eq!(
            (marks[1].cents, marks[1].missing, marks[1].caught.as_slice()),
            (None, true, [5].as_slice())
        );
        assert!(super::marks(&Report::default(), Language::De).is_empty());
    }
}
