//! From samples to a report: heard against a part when one was asked for, freely when not.

use ear::Expected;
use ear::input::Input;
use ear::level::Calibration;
use ear::measure::Against;
use ear::report::{Given, Heading, Report};
use tone::Tuning;

use super::writing::Written;

/// What is known of a take beside its sound.
#[derive(Default)]
pub(crate) struct About<'a> {
    /// What was to be played; `None` for free playing.
    pub(crate) asked: Option<&'a Written>,
    /// When it was recorded, as it is to be shown.
    pub(crate) recorded: String,
    /// What pitch is measured against.
    pub(crate) against: Against,
    /// The level calibration.
    pub(crate) calibration: Option<Calibration>,
}

/// Hears a take.
pub(crate) fn hear(input: &Input, about: &About<'_>) -> Report {
    let settings = ear::Settings::default();
    let free = ear::hear(&input.samples, None, &settings);
    let expected = about.asked.map_or_else(Expected::default, |written| {
        ear::expected::from_part(
            &written.part,
            &written.instrument,
            &written.chart,
            &written.tuning,
        )
    });
    let scored = about
        .asked
        .map(|_| ear::hear(&input.samples, Some(&expected), &settings));
    let (heard, free) = match scored {
        Some(scored) => (scored, Some(free)),
        None => (free, None),
    };
    ear::report::build(&Given {
        samples: &input.samples,
        source: Some(&input.source),
        faults: &input.faults,
        expected: &expected,
        heard: &heard,
        free: free.as_ref(),
        part: about.asked.map(|written| &written.part),
        heading: heading(about),
        tuning: about
            .asked
            .map_or_else(Tuning::default, |written| written.tuning),
        against: about.against,
        calibration: about.calibration,
    })
}

fn heading(about: &About<'_>) -> Heading {
    let recorded = about.recorded.clone();
    match about.asked.map(|written| &written.part) {
        Some(part) => Heading {
            title: part.title.clone(),
            player: part.player.clone(),
            instrument: part.instrument.clone(),
            instrument_name: part.instrument_name.clone(),
            recorded,
        },
        None => Heading {
            recorded,
            ..Heading::default()
        },
    }
}
