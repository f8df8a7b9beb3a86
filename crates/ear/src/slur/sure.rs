//! How far a room leaves a change to be known (`tests/slur_coverage.rs`).

use crate::thresholds as t;

/// What a room leaves to be known of a change: standard uncertainties.
#[derive(Clone, Copy)]
pub(super) struct Sure {
    /// Of the time, beside what the fit knows of itself.
    pub(super) unlike_ms: f64,
    /// Of a hold.
    pub(super) hold_ms: f64,
    /// Of a dip; none where the echo fills it.
    pub(super) dip_db: Option<f64>,
    /// Of an overshoot, beside what the track knows of itself.
    pub(super) overshoot_cents: f64,
}

impl Sure {
    /// In a hall.
    pub(super) const IN_HALL: Self = Self {
        unlike_ms: t::HALL_UNLIKE_MS,
        hold_ms: t::HALL_HOLD_MS,
        dip_db: None,
        overshoot_cents: t::HALL_OVERSHOOT_CENTS,
    };

    /// In a room that leaves so much of an old note.
    pub(super) fn in_room(echo: f64) -> Self {
        Self {
            unlike_ms: t::SLUR_UNLIKE_MS + t::SLUR_UNLIKE_ECHO_MS * echo,
            hold_ms: t::HOLD_MS.hypot(t::HOLD_ECHO_MS * echo),
            dip_db: Some(t::DIP_DB.hypot(t::DIP_ECHO_DB * echo)),
            overshoot_cents: t::OVERSHOOT_CENTS.hypot(t::OVERSHOOT_ECHO_CENTS * echo),
        }
    }
}
