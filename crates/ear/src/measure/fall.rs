//! When a level crosses a line on its way down, finer than the window it is seen through.

use super::stats;
use crate::level::Weighted;

/// Step of the level, seconds.
const STEP_S: f64 = 0.001;
/// Shortest window of a level, seconds; one period of the note where that is longer, or the level
/// would ripple with it.
const WINDOW_S: f64 = 0.01;
/// A player's level is alike over this long, seconds (common practice, no source: it wavers some
/// six times a second).
const WAVERS_S: f64 = 0.1;
/// The held level is that of so much before the fall, seconds, ...
const HELD_S: f64 = 0.3;
/// ... or of no less than this where the note is short, seconds.
const LEAST_S: f64 = 0.03;
/// Times that the end of the held part is looked for.
const LOOKS: usize = 3;
/// The slope at a crossing is taken over at least this long, seconds.
const SLOPE_S: f64 = 0.01;
/// Slopes are taken to be no flatter, dB a second.
const FLATTEST: f64 = 5.0;
/// Power that the noise taken off leaves at least, as a share.
const LEFT: f64 = 0.05;

/// The level of a note over time, its noise taken off.
#[derive(Clone, Debug)]
pub(super) struct Fall {
    /// Time of the first level, seconds.
    from_s: f64,
    window_s: f64,
    levels: Vec<f64>,
    noise: f64,
}

/// Where a level crosses a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Crossing {
    /// When, seconds.
    pub(super) at_s: f64,
    /// How fast the level falls there, dB a second (above 0).
    pub(super) slope: f64,
    /// Standard uncertainty of the level there, dB.
    pub(super) level_uncertainty: f64,
}

impl Crossing {
    /// Standard uncertainty of the time, seconds.
    #[must_use]
    pub(super) fn uncertainty_s(&self) -> f64 {
        (self.level_uncertainty / self.slope).hypot(STEP_S / 12.0_f64.sqrt())
    }
}

impl Fall {
    /// The level between two times of a note of this pitch; `None` when no window fits between
    /// them.
    #[must_use]
    pub(super) fn new(weighted: &Weighted, (from_s, to_s): (f64, f64), hz: f64) -> Option<Self> {
        let window_s = WINDOW_S.max(1.0 / hz.max(1.0));
        let noise = weighted.quietest();
        let count = ((to_s - from_s - window_s) / STEP_S).floor();
        let levels: Vec<f64> = (0..count.max(0.0) as usize)
            .filter_map(|i| {
                let at = from_s + i as f64 * STEP_S;
                let power = weighted.power(at, at + window_s)?;
                Some(10.0 * (power - noise).max(LEFT * power).max(1e-20).log10())
            })
            .collect();
        (!levels.is_empty()).then_some(Self {
            from_s: from_s + 0.5 * window_s,
            window_s,
            levels,
            noise,
        })
    }

    fn place(&self, at_s: f64) -> usize {
        ((at_s - self.from_s) / STEP_S).round().max(0.0) as usize
    }

    /// The middle level of the last [`HELD_S`] before a time and its standard uncertainty, dB.
    fn held(&self, to_s: f64) -> Option<(f64, f64)> {
        let to = self.place(to_s).clamp(1, self.levels.len());
        let from = self.place(to_s - HELD_S).min(to - 1);
        let levels = self.levels.get(from..to)?;
        let spread = stats::robust_deviation(levels)?;
        let independent = (levels.len() as f64 * STEP_S / WAVERS_S).max(1.0);
        Some((stats::median(levels)?, 1.25 * spread / independent.sqrt()))
    }

    /// Where the level comes `first_db` and then `second_db` below what it was held at, the
    /// held part ending about `steady_to`; with the standard uncertainty of the held level, dB.
    ///
    /// What was held ends where the fall begins, about as long before the first line as the second
    /// is after it (so it is with a raised cosine).
    #[must_use]
    pub(super) fn below(
        &self,
        steady_to: f64,
        (first_db, second_db): (f64, f64),
    ) -> Option<(Crossing, Crossing, f64)> {
        let mut to = steady_to;
        let mut found = None;
        for _ in 0..LOOKS {
            let (held, uncertainty) = self.held(to)?;
            let (begin, fallen) = self.between(held - first_db, held - second_db)?;
            to = (2.0 * begin.at_s - fallen.at_s).max(self.from_s + LEAST_S);
            found = Some((begin, fallen, uncertainty));
        }
        found
    }

    /// The last moment above the first level, and the first after it that is below the second.
    fn between(&self, first_db: f64, second_db: f64) -> Option<(Crossing, Crossing)> {
        let fallen = |from: usize| {
            let rest = self.levels.get(from..)?;
            Some(from + rest.iter().position(|level| *level <= second_db)?)
        };
        let last = self.levels.iter().rposition(|level| *level >= first_db)?;
        let fallen = fallen(last)?;
        Some((
            self.crossing(last, first_db)?,
            self.crossing(fallen.checked_sub(1)?, second_db)?,
        ))
    }

    /// Where the level crosses a line between a place and the next.
    fn crossing(&self, place: usize, line_db: f64) -> Option<Crossing> {
        let (above, below) = (*self.levels.get(place)?, *self.levels.get(place + 1)?);
        let part = ((above - line_db) / (above - below).max(1e-9)).clamp(0.0, 1.0);
        let at_s = self.from_s + (place as f64 + part) * STEP_S;
        let reach = (0.5 * self.window_s.max(SLOPE_S) / STEP_S).round() as usize;
        let (from, to) = (
            place.saturating_sub(reach),
            (place + 1 + reach).min(self.levels.len() - 1),
        );
        let fallen = self.levels.get(from)? - self.levels.get(to)?;
        let slope = (fallen / ((to - from) as f64 * STEP_S)).max(FLATTEST);
        // A window over a falling power is led by its loud end: the mean of exp(-rt) over it
        // is sinh(rw/2) / (rw/2) of that in its middle.
        let half = 0.5 * self.window_s * slope * std::f64::consts::LN_10 / 10.0;
        let more_db = 10.0 * (half.sinh() / half.max(1e-9)).max(1.0).log10();
        let share = self.noise / 10.0_f64.powf(line_db / 10.0);
        Some(Crossing {
            at_s: at_s - more_db / slope,
            slope,
            level_uncertainty: 8.7 * (0.5 * share).sqrt(),
        })
    }
}
