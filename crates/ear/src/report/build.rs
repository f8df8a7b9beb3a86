//! From what was heard to the report: every measure made, every line put in order.

use routine::Part;
use tone::Tuning;

use super::shape::{Heading, Note, Report, SHAPE, TakeMeasures};
use super::{line, note, roof, take};
use crate::input::{Fault, FaultKind, Source};
use crate::level::Calibration;
use crate::measure::{Against, Take};
use crate::{Expected, Heard, Samples, findings, room, verdict};

/// All that a report is built from.
#[derive(Clone, Debug)]
pub struct Given<'a> {
    /// The sound.
    pub samples: &'a Samples,
    /// What the file was; `None` for a live take.
    pub source: Option<&'a Source>,
    /// What is wrong with the recording.
    pub faults: &'a [Fault],
    /// What was to be played; empty when nothing was asked for.
    pub expected: &'a Expected,
    /// What was heard.
    pub heard: &'a Heard,
    /// What is heard without the score: tells what a take is when it is not what was asked for.
    pub free: Option<&'a Heard>,
    /// The player's part, for written names and fingerings.
    pub part: Option<&'a Part>,
    /// Whose take, of what.
    pub heading: Heading,
    /// The tuning of the targets.
    pub tuning: Tuning,
    /// What pitch is measured against.
    pub against: Against,
    /// The level calibration.
    pub calibration: Option<Calibration>,
}

/// Measures everything and builds the report.
#[must_use]
pub fn build(given: &Given<'_>) -> Report {
    let clipped: Vec<(f64, f64)> = given
        .faults
        .iter()
        .filter(|fault| matches!(fault.kind, FaultKind::Clipped { .. }))
        .flat_map(|fault| fault.places.iter().copied())
        .collect();
    let take = Take::new(given.samples, given.expected, given.heard, &clipped);
    let maker = note::Maker::new(given);
    let notes: Vec<Note> = (0..given.heard.notes.len())
        .filter_map(|i| take.view(i))
        .map(|view| maker.note(&view))
        .collect();
    let (lines, other_notes) = line::all(&maker, &notes);
    let room = room::check(&take, given.calibration);
    let mut report = Report {
        shape: SHAPE,
        made_with: concat!("ear ", env!("CARGO_PKG_VERSION")).into(),
        heading: given.heading.clone(),
        tuning: given.tuning,
        against: given.against,
        source: given.source.cloned(),
        faults: given.faults.to_vec(),
        verdict: verdict::judge(&take, given.free),
        room,
        take: TakeMeasures::default(),
        same_roof: roof::compare(&lines, given.expected),
        lines,
        other_notes,
        findings: Vec::new(),
        cautions: given
            .part
            .map(|part| part.cautions.clone())
            .unwrap_or_default(),
    };
    report.take = take::measures(&report, &take, given.calibration);
    report.findings = findings::find(&report);
    report.cautions.extend(findings::cautions(&report));
    report
}
