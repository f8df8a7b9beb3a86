//! Pitch against the target.

use super::table::Definition;
use super::{Against, View};
use crate::{Measure, WhyNot};

/// What it is.
pub const DEFINITION: Definition = Definition {
    id: "pitch_cents",
    name: "pitch",
    unit: "cents",
    what: "robust centre of the fundamental over the steady part, against the target: the tuning's \
           own pitch, the just interval over the line's root, or the tube's own partial, or \
           without a score the nearest note of the tuning; flat is negative",
    window: "steady part of the note",
    limits: "none without a target; the steady part is the hearing core's",
    chosen_by: "the centre and its uncertainty are the hearing core's; coverage on simulated takes \
                in tests/measure_coverage.rs",
};

/// The smallest uncertainty that is stated, cents: the error of the reference clock of an
/// ordinary sound card (50 parts in a million is 0.09 cent).
const CLOCK_CENTS: f64 = 0.09;

/// Measures it.
#[must_use]
pub fn measure(view: &View<'_>, against: Against) -> Measure {
    let Some(target) = target_hz(view, against) else {
        return Measure::unknown(WhyNot::NoTarget);
    };
    if view.note.hz <= 0.0 || target <= 0.0 {
        return Measure::unknown(WhyNot::Unsettled);
    }
    between(view.note.hz, target, view.note.cents_uncertainty)
}

/// Cents from a target to a pitch of this uncertainty (cents), the clock's own put in.
#[must_use]
pub fn between(hz: f64, target_hz: f64, uncertainty: f64) -> Measure {
    Measure::known(
        1200.0 * (hz / target_hz).log2(),
        uncertainty.hypot(CLOCK_CENTS),
    )
}

/// The frequency that the note is held against.
#[must_use]
pub fn target_hz(view: &View<'_>, against: Against) -> Option<f64> {
    let asked = view.asked()?;
    match against {
        Against::Tuning => Some(asked.hz),
        Against::Drone => {
            let root = view
                .line()
                .map(|line| line.root_hz)
                .filter(|hz| *hz > 0.0)?;
            Some(just_over(asked.hz, root))
        }
        Against::Slot => {
            let own = |p: &&crate::TubePartial| p.partial == asked.partial;
            asked.tube.iter().find(own).map(|p| p.hz)
        }
    }
}

/// The just interval over a root that lies nearest to a frequency of any usual tuning.
///
/// The ratios are [`tone::JUST`].
fn just_over(hz: f64, root: f64) -> f64 {
    let semitones = (12.0 * (hz / root).log2()).round() as i32;
    let (up, down) = tone::JUST
        .get(semitones.rem_euclid(12) as usize)
        .copied()
        .unwrap_or((1.0, 1.0));
    root * f64::from(semitones.div_euclid(12)).exp2() * up / down
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_major_third_over_a_drone_is_14_cents_lower_than_tempered() {
        let root = 233.082;
        let third = root * (4.0_f64 / 12.0).exp2();
        let cents = 1200.0 * (just_over(third, root) / third).log2();
        assert!((cents + 13.686).abs() < 1e-3);
        let tenth_below = third / 4.0;
        assert!((just_over(tenth_below, root) - root * 5.0 / 16.0).abs() < 1e-9);
    }
}
