//! The roof and the floor that count for this player, and who set them.

use horn::{Chart, Instrument};

use super::frame::Frame;
use crate::exercise::{Exercise, Roof};
use crate::fingering::Allowed;
use crate::level::Level;
use crate::player::Player;

/// A limit and who set it.
#[derive(Clone, Debug)]
pub(crate) struct Limit {
    /// Tube key.
    pub(crate) key: i32,
    /// For people: "the roof of the level".
    pub(crate) why: &'static str,
}

/// The notes that lines may touch, tube keys.
#[derive(Clone, Debug)]
pub(crate) struct Bounds {
    pub(crate) roof: Limit,
    pub(crate) floor: Limit,
}

/// Limits before the exercise's own: what player, level and instrument leave.
pub(crate) fn of_player(
    frame: Frame,
    player: &Player,
    instrument: &Instrument,
    chart: &Chart,
    level: Option<&Level>,
) -> Option<Bounds> {
    let allowed = allowed(player);
    let playable = |key: &i32| chart.ways(*key).iter().any(|way| allowed.allows(way.kind));
    let lowest = *chart.notes.keys().find(|key| playable(key))?;
    let highest = *chart.notes.keys().rev().find(|key| playable(key))?;
    let mut bounds = Bounds {
        roof: Limit {
            key: frame.tube(highest),
            why: "the highest note of the chart",
        },
        floor: Limit {
            key: frame.tube(lowest),
            why: "the lowest note of the chart",
        },
    };
    // Pedals and false notes lie below every usual floor; who asks for them lifts those floors.
    let low_asked = player.pedals || player.false_notes;
    if let Some((low, high)) = usual_compass(instrument) {
        bounds.lower_roof(
            frame.tube(high),
            "the top of the instrument's usual compass",
        );
        if !low_asked {
            bounds.raise_floor(
                frame.tube(low),
                "the bottom of the instrument's usual compass",
            );
        }
    }
    if let Some(level) = level {
        // The level speaks of the instrument's own home, whatever home a class agrees on.
        let shift = frame.fundamental
            - (crate::exercise::HOME_KEY
                - super::frame::partial_interval(instrument.home_partial)?.semitones);
        bounds.lower_roof(level.roof.key() + shift, "the roof of the level");
        if !low_asked {
            bounds.raise_floor(level.floor.key() + shift, "the floor of the level");
        }
    }
    if let Some(compass) = player.compass() {
        bounds.lower_roof(
            frame.tube_of_written(compass.roof),
            "the top of the player's range today",
        );
        if !low_asked {
            bounds.raise_floor(
                frame.tube_of_written(compass.floor),
                "the bottom of the player's range today",
            );
        }
    }
    Some(bounds)
}

/// Which kinds of notes the player asks for.
pub(crate) const fn allowed(player: &Player) -> Allowed {
    Allowed {
        pedals: player.pedals,
        false_notes: player.false_notes,
    }
}

/// Lowest and highest sounding key over all stages.
fn usual_compass(instrument: &Instrument) -> Option<(i32, i32)> {
    let transposition = instrument.usual_reading()?.transposition;
    let key = |written| transposition.sounding(written).midi();
    let low = instrument.stages.iter().map(|s| key(s.floor)).min()?;
    let high = instrument.stages.iter().map(|s| key(s.roof)).max()?;
    Some((low, high))
}

impl Bounds {
    pub(crate) fn lower_roof(&mut self, key: i32, why: &'static str) {
        if key < self.roof.key {
            self.roof = Limit { key, why };
        }
    }

    pub(crate) fn raise_floor(&mut self, key: i32, why: &'static str) {
        if key > self.floor.key {
            self.floor = Limit { key, why };
        }
    }

    /// With the exercise's own roof and floor.
    pub(crate) fn with_exercise(mut self, exercise: &Exercise) -> Self {
        if let Some(Roof::At(roof)) = exercise.roof {
            self.lower_roof(roof.key(), "the roof of the exercise");
        }
        if let Some(floor) = exercise.floor {
            self.raise_floor(floor.key(), "the floor of the exercise");
        }
        self
    }

    pub(crate) const fn holds(&self, key: i32) -> bool {
        self.floor.key <= key && key <= self.roof.key
    }

    /// Who keeps this key out.
    pub(crate) const fn why_not(&self, key: i32) -> &'static str {
        if key > self.roof.key {
            self.roof.why
        } else {
            self.floor.why
        }
    }
}
