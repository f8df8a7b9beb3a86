//! Everything about one player and one instrument that all exercises of a part share.

use horn::{Chart, Instrument, Reading};

use super::bounds::{self, Bounds};
use super::frame::{Frame, partial_interval};
use super::{ExpandError, Setup};
use crate::fingering::{Allowed, Motions, Weights};
use crate::level::Level;
use crate::player::{Limits, Player};

pub(crate) struct Room<'r> {
    pub(crate) player: &'r Player,
    pub(crate) instrument: &'r Instrument,
    pub(crate) chart: &'r Chart,
    pub(crate) reading: &'r Reading,
    pub(crate) level: Option<&'r Level>,
    /// Place of the level, 0 for the first to 1 for the last, as the level states its tempo.
    pub(crate) tempo_share: f64,
    pub(crate) frame: Frame,
    pub(crate) bounds: Bounds,
    pub(crate) allowed: Allowed,
    pub(crate) motions: Motions,
    pub(crate) weights: Weights,
    pub(crate) limits: Limits,
    /// Semitones of the home partial above the fundamental.
    pub(crate) home: i32,
}

impl<'r> Room<'r> {
    /// `shift` moves the name of home (see [`Frame::new`]).
    pub(crate) fn new(setup: &Setup<'r>, shift: i32) -> Result<Self, ExpandError> {
        let Setup {
            player,
            instrument,
            chart,
            levels,
            ..
        } = *setup;
        let reading = match &player.reading {
            None => instrument
                .usual_reading()
                .ok_or_else(|| ExpandError::Instrument {
                    instrument: instrument.id.clone(),
                    what: "has no reading",
                })?,
            Some(id) => instrument
                .readings
                .iter()
                .find(|r| r.id == *id)
                .ok_or_else(|| ExpandError::Reading {
                    reading: id.clone(),
                    instrument: instrument.id.clone(),
                    known: join(instrument.readings.iter().map(|r| r.id.as_str())),
                })?,
        };
        let level = match &player.level {
            None => None,
            Some(id) => Some(levels.find(id).ok_or_else(|| ExpandError::Level {
                level: id.clone(),
                known: join(levels.ids().into_iter()),
            })?),
        };
        let frame =
            Frame::new(instrument, reading, shift).ok_or_else(|| ExpandError::Instrument {
                instrument: instrument.id.clone(),
                what: "has a home partial beyond 16",
            })?;
        let bounds =
            bounds::of_player(frame, player, instrument, chart, level).ok_or_else(|| {
                ExpandError::Instrument {
                    instrument: instrument.id.clone(),
                    what: "has a chart without notes",
                }
            })?;
        Ok(Self {
            player,
            instrument,
            chart,
            reading,
            level,
            tempo_share: level.map_or(0.5, |l| l.tempo),
            frame,
            bounds,
            allowed: bounds::allowed(player),
            motions: Motions::of(instrument),
            weights: Weights::default(),
            limits: player
                .limits
                .or(level.map(|l| l.limits))
                .unwrap_or_default(),
            home: partial_interval(instrument.home_partial).map_or(24, |i| i.semitones),
        })
    }

    /// Whether a tube key has a fingering that is allowed.
    pub(crate) fn playable(&self, tube: i32) -> bool {
        self.chart
            .ways(self.frame.sounding(tube))
            .iter()
            .any(|way| self.allowed.allows(way.kind))
    }
}

fn join<'s>(names: impl Iterator<Item = &'s str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}
