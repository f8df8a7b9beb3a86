//! From an exercise and a player to a part, with the chart and the tuning it was made with.

use horn::{Chart, Instrument};
use routine::{Exercise, ExpandError, Levels, Part, Player};
use tone::Tuning;

/// A part with what it was made from: exports, sound and hearing need the same.
pub(crate) struct Written {
    /// The part.
    pub(crate) part: Part,
    /// On which instrument.
    pub(crate) instrument: Instrument,
    /// Its chart in that tuning.
    pub(crate) chart: Chart,
    /// The tuning.
    pub(crate) tuning: Tuning,
}

/// For whom and how a part is written.
pub(crate) struct Order {
    /// The player's settings.
    pub(crate) player: Player,
    /// The instrument.
    pub(crate) instrument: Instrument,
    /// The levels file.
    pub(crate) levels: Levels,
    /// The tuning of the day.
    pub(crate) tuning: Tuning,
    /// The seed of the day, for orders that are drawn.
    pub(crate) seed: u64,
}

impl Order {
    /// Writes one exercise.
    ///
    /// # Errors
    /// [`ExpandError`] when the exercise contradicts itself or the player's settings name a level
    /// or a reading that is not there.
    pub(crate) fn write(self, exercise: &Exercise) -> Result<Written, ExpandError> {
        let chart = horn::ideal::chart(&self.instrument, &self.tuning);
        let part = routine::expand(
            exercise,
            &self.player,
            &self.instrument,
            &chart,
            &self.levels,
            self.seed,
        )?;
        Ok(Written {
            part,
            instrument: self.instrument,
            chart,
            tuning: self.tuning,
        })
    }
}
