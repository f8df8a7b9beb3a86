//! From samples to what was heard: against a part when one was asked for, freely when not.

use ear::input::Input;
use ear::level::Calibration;
use ear::measure::Against;
use ear::report::{Asked, Heading, Whole};
use tone::Tuning;

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
