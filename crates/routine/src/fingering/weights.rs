//! The one table of weights by which fingerings are chosen.
//!
//! The unit is the cent: a weight of 10 is worth ten cents of mistuning. All weights are common
//! practice, no source; they were set so that a note by itself gets the chart's first choice
//! whatever its neighbours, and so that alternates appear where players use them.

/// What each thing costs, in cents' worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// For each cent between the tube and the note asked for.
    pub per_cent: f64,
    /// The same where a hand slide or the throw of a valve's slide can make up for it.
    pub per_cent_on_slide: f64,
    /// For leaving the chart's first choice.
    pub alternate: f64,
    /// For each further place down the chart.
    pub per_rank: f64,
    /// For the support that a way lacks: this much for a way that the tube does not back at all,
    /// in proportion for one that it backs less than the best way to the note.
    pub per_support: f64,
    /// For throwing the slide of a valve to make a note true.
    pub per_throw: f64,
    /// For each valve or rotor that moves, at [`Weights::quick_seconds`] a note.
    pub per_valve: f64,
    /// For each whole position that the slide moves, at the same speed.
    pub per_position: f64,
    /// For a change of the slide's direction, at the same speed.
    pub turn: f64,
    /// For a slur that the slide would smear: the same partial from one position to another.
    pub smear: f64,
    /// For each partial that a slur on one length jumps over.
    pub per_skipped_partial: f64,
    /// The note length, in seconds, at which motion costs what the table says; longer notes leave
    /// more time and motion costs in proportion less (never under [`LEAST_HASTE`]), shorter ones
    /// more (up to [`MOST_HASTE`]).
    pub quick_seconds: f64,
}

/// Motion before a note costs at least this share of the table, however much time there is.
pub const LEAST_HASTE: f64 = 0.4;
/// And at most this many times the table, however little time there is.
pub const MOST_HASTE: f64 = 4.0;

impl Default for Weights {
    fn default() -> Self {
        Self {
            per_cent: 0.5,
            per_cent_on_slide: 0.1,
            alternate: 24.0,
            per_rank: 6.0,
            per_support: 110.0,
            per_throw: 4.0,
            per_valve: 3.0,
            per_position: 4.0,
            turn: 5.0,
            smear: 8.0,
            per_skipped_partial: 2.0,
            quick_seconds: 0.25,
        }
    }
}

impl Weights {
    /// How much motion costs before a note that follows one of this many seconds.
    pub(super) fn haste(&self, seconds: f64) -> f64 {
        (self.quick_seconds / seconds.max(0.01)).clamp(LEAST_HASTE, MOST_HASTE)
    }
}
