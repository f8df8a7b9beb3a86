//! From one note to the next in a hall, and how likely a change is there.

use std::ops::RangeInclusive;

use num_complex::Complex32;

use crate::signal::LANES;
use crate::slur::Change;
use crate::slur::hall::Field;
use crate::slur::hall::bands::{Band, Bands, Grain, HEARS_HZ};
use crate::slur::hall::cholesky::likelihood;
use crate::slur::hall::field::first_after;
use crate::slur::hall::ground::{Before, Tone, tones};
use crate::slur::hall::process::{Cell, Covariance};
use crate::slur::hall::sung::{Harmonic, Row, Sung};
use crate::thresholds as t;

/// A note that is over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Past {
    /// Its pitch, hertz.
    pub hz: f64,
    /// When it began, seconds.
    pub from_s: f64,
    /// When it ended, seconds.
    pub to_s: f64,
}

/// What is known of two notes and the hall they sound in before their change is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// The pitches left and entered, hertz.
    pub old_hz: f64,
    /// See `old_hz`.
    pub new_hz: f64,
    /// When the old note began, seconds.
    pub old_from_s: f64,
    /// The notes before it.
    pub past: Vec<Past>,
    /// The hall.
    pub field: Field,
}

/// A stretch of sound at the working rate.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    /// Its samples.
    pub sound: &'a [f32],
    /// Samples a second.
    pub rate: f64,
    /// Time of the first, seconds.
    pub start_s: f64,
}

/// One band of those that are kept together.
#[derive(Clone, Debug)]
struct Lane {
    hz: f64,
    /// Turns the band's frequency back, for [`Sung`].
    back: Row,
    /// The harmonics that come near the band in a change.
    orders: RangeInclusive<usize>,
}

/// Some bands with what is known before any change is tried.
#[derive(Clone, Debug)]
struct Seen {
    lanes: Vec<Lane>,
    /// The echoes of the old note and of the new one.
    old: Vec<Tone>,
    new: Vec<Tone>,
    /// Noise and the echoes of the notes before and of the old note as though it never ended.
    ground: Covariance,
}

/// The sound from one note to the next.
#[derive(Clone, Debug)]
pub struct Passage {
    known: Known,
    seen: Vec<Seen>,
    times: Vec<f64>,
    /// Amplitude of each harmonic in the old note and in the new one.
    amplitudes: Vec<(f32, f32)>,
    /// Share of the old note's echo that has come by each value.
    old_begun: Vec<f32>,
    /// How alike the player's own sound is by steps.
    alike: Vec<f32>,
    sung: Sung,
    /// A harmonic of that sound in each of some bands.
    heard: Vec<Cell>,
    covariance: Covariance,
}

impl Passage {
    /// The passage through the loudest `most` bands and those round the pitches of `between`. `None` when the
    /// stretch is too short.
    #[must_use]
    pub fn new(
        stretch: Stretch<'_>,
        known: &Known,
        grain: Grain,
        most: usize,
        between: &[f64],
    ) -> Option<Self> {
        let Bands {
            bands,
            times,
            old,
            new,
        } = Bands::new(stretch, (known.old_hz, known.new_hz), grain, most, between)?;
        // Half of the echo is there on the mean.
        let direct = |power: &f64| power / (1.0 + 0.5 * known.field.share);
        let old: Vec<f64> = old.iter().map(direct).collect();
        let new: Vec<f64> = new.iter().map(direct).collect();
        let harmonics = old.len().max(new.len());
        let highest = bands
            .iter()
            .map(|band| *orders_near(band, known, harmonics).end());
        let sung = Sung::new(&times, grain, highest.max().unwrap_or(1));
        let before = Before::new(known, &times, grain);
        let old_begun = known.field.sooner_at(&times, known.old_from_s);
        let together = bands.chunks(LANES).map(|bands| {
            let echoes = |hz: f64, powers: &[f64]| {
                let power = |order: usize| powers.get(order - 1).copied().unwrap_or(0.0);
                tones(bands, &times, (hz, powers.len()), known.field.share, power)
            };
            let mut ground = before.ground(bands, &times, known, &old, &new);
            let old_tones = echoes(known.old_hz, &old);
            for tone in &old_tones {
                ground.add_begun(&tone.power, &tone.turns, &old_begun, 0);
            }
            let lane = |band: &Band| Lane {
                hz: band.hz,
                back: sung.turns(-band.hz),
                orders: orders_near(band, known, harmonics),
            };
            Seen {
                lanes: bands.iter().map(lane).collect(),
                old: old_tones,
                new: echoes(known.new_hz, &new),
                ground,
            }
        });
        let seen: Vec<Seen> = together.collect();
        let root = |powers: &[f64], i: usize| powers.get(i).map_or(0.0, |p| p.sqrt() as f32);
        let alike =
            |steps: usize| (-(steps as f64) * grain.step_s() / t::HALL_ALIKE_S).exp() as f32;
        let amplitudes = (0..harmonics).map(|i| (root(&old, i), root(&new, i)));
        Some(Self {
            known: known.clone(),
            seen,
            amplitudes: amplitudes.collect(),
            old_begun,
            alike: (0..times.len()).map(alike).collect(),
            sung,
            heard: vec![Cell::default(); times.len()],
            covariance: Covariance::default(),
            times,
        })
    }

    /// Logarithm of how likely the passage is with this change, nats, a constant left out.
    pub fn likelihood(&mut self, change: &Change) -> f64 {
        self.sung.follow(change);
        let gone = |from: f64| {
            let first = first_after(&self.times, from);
            (self.known.field.sooner_at(&self.times, from), first)
        };
        // What has come of the new note's echo and what is lost of the old one's.
        let (begun, there) = gone(change.to_s());
        let (ended, left) = gone(change.from_s());
        let mut sum = 0.0;
        for seen in &self.seen {
            let covariance = &mut self.covariance;
            covariance.copy(&seen.ground);
            for Tone { power, turns } in &seen.new {
                covariance.add_begun(power, turns, &begun, there);
            }
            for Tone { power, turns } in &seen.old {
                covariance.take_ended(power, turns, (&self.old_begun, &ended), left);
            }
            let orders = seen.lanes.iter().map(|lane| lane.orders.clone().count());
            for slot in 0..orders.max().unwrap_or(0) {
                self.heard.fill(Cell::default());
                for (number, lane) in seen.lanes.iter().enumerate() {
                    let Some(order) = lane.orders.clone().nth(slot) else {
                        continue;
                    };
                    let heard = self.sung.heard(Harmonic {
                        order,
                        amplitudes: self.amplitudes.get(order - 1).copied().unwrap_or_default(),
                        band_hz: lane.hz,
                        back: &lane.back,
                    });
                    let values = heard.re.iter().zip(&heard.im);
                    for (cell, (re, im)) in self.heard.iter_mut().zip(values) {
                        cell.set(number, Complex32::new(*re, *im));
                    }
                }
                covariance.add_alike(&self.heard, &self.alike);
            }
            sum += likelihood(covariance);
        }
        sum
    }
}

/// The harmonics, of so many, that are heard in a band somewhere in a change.
fn orders_near(band: &Band, known: &Known, harmonics: usize) -> RangeInclusive<usize> {
    let (low, high) = (
        known.old_hz.min(known.new_hz),
        known.old_hz.max(known.new_hz),
    );
    let first = ((band.hz - HEARS_HZ) / high).ceil().max(1.0) as usize;
    let last = ((band.hz + HEARS_HZ) / low).floor() as usize;
    first..=last.min(harmonics)
}
