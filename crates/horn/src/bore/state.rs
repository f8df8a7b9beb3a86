//! The states a bore can take: keys down, slides out, and how a player's own tubing differs.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::error::{BoreError, Problem};
use super::file::Bore;

/// Furthest that a player's own slide or loop may be longer than the generic one, mm of slide movement.
const LONGEST_TRIM_MM: f64 = 1000.0;

/// One state of an instrument's mechanism.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct State {
    /// Keys down, as a bit set in the order of [`Bore::keys`].
    pub down: u16,
    /// Hand-slide extension, mm of slide movement (the air path grows by twice that).
    pub hand_mm: f64,
    /// Pulls of named slides and valve slides, mm; the rest position of the file where absent.
    pub pulls: BTreeMap<String, f64>,
    /// What a slide or loop is longer than the file says, mm of slide movement, either sign: how a
    /// player's own instrument differs from the generic one.
    pub trim: BTreeMap<String, f64>,
}

impl Bore {
    /// Where a slide stands in this state, and what the player's own tubing adds to it, mm.
    pub(super) fn pull(&self, state: &State, name: &str) -> f64 {
        self.pulled(state, name) + state.trim.get(name).copied().unwrap_or(0.0)
    }

    /// Where a slide stands in this state, mm.
    fn pulled(&self, state: &State, name: &str) -> f64 {
        let rest = || {
            self.slides
                .iter()
                .find(|s| s.name == name)
                .map_or(0.0, |s| s.rest_mm)
        };
        state.pulls.get(name).copied().unwrap_or_else(rest)
    }

    pub(super) fn check_state(&self, state: &State) -> Result<(), BoreError> {
        let mut problems = Vec::new();
        let mut wrong = |place: &str, what: String| {
            problems.push(Problem {
                place: place.to_owned(),
                what,
            });
        };
        let known = (1_u32 << self.keys.len().min(16)) - 1;
        if u32::from(state.down) & !known != 0 {
            wrong(
                "state",
                format!(
                    "keys down are {:#b}, but there are only {} keys",
                    state.down,
                    self.keys.len()
                ),
            );
        }
        let reach = self.hand_slide.as_ref().map_or(0.0, |h| h.throw_mm);
        if !(state.hand_mm >= 0.0 && state.hand_mm <= reach) {
            wrong(
                "hand slide",
                format!(
                    "extension {} mm must lie between 0 and {reach} mm",
                    state.hand_mm
                ),
            );
        }
        for (name, &mm) in &state.trim {
            let room = self.slides.iter().any(|s| &s.name == name).then(|| {
                let legs = self
                    .sections
                    .iter()
                    .filter(|s| s.slide.as_ref() == Some(name));
                let shortest = legs
                    .map(|s| s.length_mm / f64::from(s.legs))
                    .fold(f64::INFINITY, f64::min);
                shortest + self.pulled(state, name)
            });
            let room = room.or_else(|| {
                self.loops
                    .iter()
                    .find(|l| &l.name == name)
                    .map(|l| l.length_mm / 2.0 + self.pulled(state, name))
            });
            match room {
                None => wrong("trim", format!("there is no slide or loop `{name}`")),
                Some(room) if !(mm > -room && mm < LONGEST_TRIM_MM) => {
                    wrong(
                        &format!("trim of `{name}`"),
                        format!("{mm} mm must lie between -{room:.0} and {LONGEST_TRIM_MM:.0} mm"),
                    );
                }
                Some(_) => {}
            }
        }
        for (name, &pull) in &state.pulls {
            match self.throw(name) {
                None => wrong(
                    "pulls",
                    format!(
                        "there is no slide `{name}`; there are: {}",
                        self.slide_names().join(", ")
                    ),
                ),
                Some(throw) if !(pull >= 0.0 && pull <= throw) => {
                    wrong(
                        &format!("slide `{name}`"),
                        format!("pull {pull} mm must lie between 0 and {throw} mm"),
                    );
                }
                Some(_) => {}
            }
        }
        if problems.is_empty() {
            Ok(())
        } else {
            Err(BoreError::Problems {
                id: self.id.clone(),
                problems,
            })
        }
    }
}
