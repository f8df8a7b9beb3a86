//! Engraved pages and PDF; in a build without the engraver, a plain word that there are none.

use std::collections::HashSet;

use routine::Part;
use routine::part::{Line, Section};
use score::heard::NoteMark;
use score::layout::{Fingerings, Layout, Paper};
use serde::Deserialize;
use serde_json::Value;
use studio::Settings;
use utoipa::ToSchema;

use super::problem::Answer;

/// How a page is to look; what is left out is as the settings say.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
pub(crate) struct Look {
    /// Size of the paper.
    #[serde(default)]
    #[schema(value_type = Option<studio::Paper>)]
    paper: Option<Paper>,
    /// Whether the staves are large.
    #[serde(default)]
    large_print: Option<bool>,
    /// Which fingerings stand over the notes.
    #[serde(default)]
    #[schema(value_type = Option<studio::ShowFingerings>)]
    fingerings: Option<Fingerings>,
}

impl Look {
    /// The layout, with the settings for what was left out.
    pub(crate) fn layout(self, settings: &Settings) -> Layout {
        let layout = Layout {
            paper: self.paper.unwrap_or(match settings.paper {
                studio::Paper::A4 => Paper::A4,
                studio::Paper::Letter => Paper::Letter,
            }),
            fingerings: self.fingerings.unwrap_or(match settings.fingerings {
                studio::ShowFingerings::Always => Fingerings::Always,
                studio::ShowFingerings::Unusual => Fingerings::Unusual,
                studio::ShowFingerings::Never => Fingerings::Never,
            }),
            ..Layout::default()
        };
        if self.large_print.unwrap_or(settings.large_print) {
            layout.large_print()
        } else {
            layout
        }
    }
}

/// The part as pages of SVG.
#[cfg(feature = "engrave")]
pub(crate) fn pages(part: &Part, layout: &Layout) -> Answer<Vec<String>> {
    score::engrave::svg_pages(part, layout).map_err(refuse)
}

/// The part as PDF.
#[cfg(feature = "engrave")]
pub(crate) fn pdf(part: &Part, layout: &Layout) -> Answer<Vec<u8>> {
    score::engrave::pdf(&[part], layout).map_err(refuse)
}

#[cfg(feature = "engrave")]
fn refuse(error: score::Error) -> super::problem::Problem {
    super::problem::Problem::unprocessable(error.to_string())
}

#[cfg(not(feature = "engrave"))]
fn not_built() -> super::problem::Problem {
    super::problem::Problem::new(
        super::problem::Code::NotBuilt,
        "this build of the program does not engrave; build it with the feature `engrave`",
    )
}

/// The part as pages of SVG: not in this build.
#[cfg(not(feature = "engrave"))]
pub(crate) fn pages(_part: &Part, _layout: &Layout) -> Answer<Vec<String>> {
    Err(not_built())
}

/// The part as PDF: not in this build.
#[cfg(not(feature = "engrave"))]
pub(crate) fn pdf(_part: &Part, _layout: &Layout) -> Answer<Vec<u8>> {
    Err(not_built())
}

/// The pages of a part with each note tinted and captioned by what was heard of it.
pub(crate) fn heard_pages(part: &Part, layout: Layout, report: &Value) -> Answer<Vec<String>> {
    let layout = Layout {
        captions: true,
        ..layout
    };
    let marks = marks(report);
    pages(&played(part, report), &layout)?
        .iter()
        .map(|page| {
            score::heard::tint(page, &marks)
                .map_err(|error| super::problem::Problem::unprocessable(error.to_string()))
        })
        .collect()
}

/// The lines of a part that were begun; all of it when none was.
fn played(part: &Part, report: &Value) -> Part {
    let begun: HashSet<&str> = report
        .get("lines")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(|line| line.get("id")?.as_str())
        .collect();
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
fn marks(report: &Value) -> Vec<NoteMark> {
    let list = |value: &Value, name: &str| -> Vec<Value> {
        value
            .get(name)
            .and_then(Value::as_array)
            .cloned()
            .unwrap_or_default()
    };
    let mut marks: Vec<NoteMark> = Vec::new();
    for line in list(report, "lines") {
        let slurs = list(&line, "slurs");
        for note in list(&line, "notes") {
            let id = note
                .get("id")
                .and_then(Value::as_str)
                .unwrap_or("")
                .to_owned();
            let caught = slurs
                .iter()
                .filter(|slur| slur.get("to").and_then(Value::as_str) == Some(&id))
                .flat_map(|slur| list(slur, "caught"))
                .filter_map(|caught| u8::try_from(caught.get("partial")?.as_u64()?).ok())
                .collect();
            let chipped = note
                .pointer("/measures/chipped")
                .is_some_and(Value::is_object);
            marks.retain(|mark| mark.id != id);
            marks.push(NoteMark {
                cents: note
                    .pointer("/measures/pitch_cents/value")
                    .and_then(Value::as_f64),
                missing: note.get("outcome").and_then(Value::as_str) == Some("missing"),
                caption: if chipped {
                    "chipped".into()
                } else {
                    String::new()
                },
                caught,
                id,
            });
        }
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_becomes_one_mark_for_each_note() {
        let report = serde_json::json!({"lines": [{
            "notes": [
                {"id": "l1n1", "outcome": "as-asked", "measures": {"pitch_cents": {"value": -7.0, "uncertainty": 1.0}}},
                {"id": "l1n2", "outcome": "missing", "measures": {"pitch_cents": {"why": "cut"}}},
            ],
            "slurs": [{"from": "l1n1", "to": "l1n2", "caught": [{"partial": 5, "hz": 580.0}]}],
        }]});
        let marks = marks(&report);
        assert_eq!((marks[0].cents, marks[0].missing), (Some(-7.0), false));
        assert_eq!(
            (marks[1].cents, marks[1].missing, marks[1].caught.as_slice()),
            (None, true, [5].as_slice())
        );
        assert!(super::marks(&serde_json::json!({})).is_empty());
    }
}
