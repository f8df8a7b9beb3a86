//! The whole way of a take that was read: hearing, measures, verdict, report.

use routine::Part;
use tone::Tuning;

use super::build::{Given, build};
use super::shape::{Heading, Report};
use crate::input::Input;
use crate::level::Calibration;
use crate::measure::Against;
use crate::{Expected, Heard, Settings, hear, verdict};

/// What a take is heard against.
#[derive(Clone, Debug, Default)]
pub struct Asked<'a> {
    /// The lines that were to be played; `None` or empty for free hearing.
    pub expected: Option<&'a Expected>,
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

/// A take that was heard: the pitch track with its notes, and the report made of them.
#[derive(Clone, Debug)]
pub struct Whole {
    /// What was heard.
    pub heard: Heard,
    /// What there is to say of it.
    pub report: Report,
}

/// Hears a take and reports on it. When it is hardly what was asked for, it is heard once more
/// without the score, to tell what it is instead.
#[must_use]
pub fn whole_of_input(input: &Input, asked: &Asked<'_>) -> Whole {
    let nothing = Expected::default();
    let expected = asked.expected.unwrap_or(&nothing);
    let settings = Settings::default();
    let heard = hear(&input.samples, asked.expected, &settings);
    let free = (expected.count() > 0 && verdict::agreement(expected, &heard) < verdict::RIGHT)
        .then(|| hear(&input.samples, None, &settings));
    let report = build(&Given {
        samples: &input.samples,
        source: Some(&input.source),
        faults: &input.faults,
        expected,
        heard: &heard,
        free: free.as_ref(),
        part: asked.part,
        heading: asked.heading.clone(),
        tuning: asked.tuning,
        against: asked.against,
        calibration: asked.calibration,
    });
    Whole { heard, report }
}

/// As [`whole_of_input`], the report alone.
#[must_use]
pub fn of_input(input: &Input, asked: &Asked<'_>) -> Report {
    whole_of_input(input, asked).report
}
