//! From one note to the next in a hall, and how likely a change is there.

use std::iter::repeat;

use num_complex::{Complex32, Complex64};

use crate::slur::Change;
use crate::slur::hall::Field;
use crate::slur::hall::bands::{Band, Bands, HEARS_HZ, STEP_S, WINDOW_S, answer, overlap};
use crate::slur::hall::cholesky::likelihood;
use crate::slur::hall::ground::{ground, turns};
use crate::slur::hall::process::{Alike, Covariance, Row, filled};
use crate::thresholds as t;

/// Step on which a change's sound is followed, seconds.
const FINE_S: f64 = 0.002;
/// Most that a harmonic's frequency may lie off a band to be followed in it, hertz: half of the rate of the
/// fine step less what the window hears.
const FOLLOWED_HZ: f64 = 150.0;

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

/// A tone's echo in a band.
#[derive(Clone, Debug)]
struct Tone {
    /// Whose it is: the new note's or the old one's.
    new: bool,
    /// Power of its echo there when it has sounded for long.
    power: f32,
    /// How it turns against the band, at every value.
    turns: Row,
}

/// One band with what is known before any change is tried.
#[derive(Clone, Debug)]
struct Seen {
    band: Band,
    tones: Vec<Tone>,
    /// Noise and the echoes of the notes before.
    ground: Covariance,
    /// Turns the band's frequency back, on the fine steps.
    back: Vec<Complex32>,
}

/// The sound from one note to the next.
#[derive(Clone, Debug)]
pub struct Passage {
    known: Known,
    seen: Vec<Seen>,
    times: Vec<f64>,
    fine: Vec<f64>,
    /// Amplitude of each harmonic in the old note and in the new one.
    amplitudes: Vec<(f32, f32)>,
    /// How alike the player's own sound is by steps.
    alike: Alike,
    window: Vec<f32>,
    covariance: Covariance,
}

impl Passage {
    /// The passage through the loudest `most` bands and those round the pitches of `between`. `None` when the
    /// stretch is too short.
    #[must_use]
    pub fn new(stretch: Stretch<'_>, known: &Known, most: usize, between: &[f64]) -> Option<Self> {
        let Bands {
            bands,
            times,
            old,
            new,
        } = Bands::new(stretch, (known.old_hz, known.new_hz), most, between)?;
        // Half of the echo is there on the mean.
        let direct = |power: &f64| power / (1.0 + 0.5 * known.field.share);
        let old: Vec<f64> = old.iter().map(direct).collect();
        let new: Vec<f64> = new.iter().map(direct).collect();
        let (first, last) = (*times.first()?, *times.last()?);
        let count = ((last - first + WINDOW_S) / FINE_S) as usize + 1;
        let fine: Vec<f64> = (0..count)
            .map(|k| first - WINDOW_S / 2.0 + (k as f64 + 0.5) * FINE_S)
            .collect();
        let overlaps = [0, 1, 2].map(overlap);
        let seen = bands.into_iter().map(|band| {
            let mut tones = tones_in(&band, &times, (known.old_hz, &old), known.field, false);
            tones.extend(tones_in(
                &band,
                &times,
                (known.new_hz, &new),
                known.field,
                true,
            ));
            Seen {
                ground: ground(&band, &times, known, &old, &new, overlaps),
                back: turns(&fine, -band.hz),
                band,
                tones,
            }
        });
        let seen: Vec<Seen> = seen.collect();
        let root = |powers: &[f64], i: usize| powers.get(i).map_or(0.0, |p| p.sqrt() as f32);
        let alike = Alike::new(times.len(), |steps| {
            (-(steps as f64) * STEP_S / t::HALL_ALIKE_S).exp() as f32
        });
        let places = (WINDOW_S / FINE_S).round() as usize;
        let window = (0..places).map(|p| {
            let turn = std::f64::consts::TAU * (p as f64 + 0.5) / places as f64;
            ((1.0 - turn.cos()) / places as f64) as f32
        });
        let amplitudes = (0..old.len().max(new.len())).map(|i| (root(&old, i), root(&new, i)));
        Some(Self {
            known: known.clone(),
            seen,
            fine,
            amplitudes: amplitudes.collect(),
            alike,
            window: window.collect(),
            covariance: Covariance::default(),
            times,
        })
    }

    /// Logarithm of how likely the passage is with this change, nats, a constant left out.
    pub fn likelihood(&mut self, change: &Change) -> f64 {
        let sung = self.follow(change);
        let (left_s, there_s) = (change.from_s(), change.to_s());
        let later = |from: f64| self.known.field.later_at(&self.times, from);
        // What is left of a tone's echo since it began and since it ended.
        let old = (later(self.known.old_from_s), later(left_s));
        let new = (later(there_s), filled(repeat(1.0), self.times.len()));
        let mut sum = 0.0;
        for seen in &self.seen {
            let heard = self.direct(seen, &sung);
            self.covariance.copy(&seen.ground);
            for tone in &seen.tones {
                let (began, ended) = if tone.new { &new } else { &old };
                self.covariance
                    .add_echo(tone.power, &tone.turns, began, ended);
            }
            for values in &heard {
                self.covariance.add_alike(values, &self.alike);
            }
            sum += likelihood(&mut self.covariance);
        }
        sum
    }

    /// The fundamental as a phasor, how far the change has gone and the level in it, on the fine steps.
    fn follow(&self, change: &Change) -> Vec<Moment> {
        let curve = change.curve();
        let reach = change.seconds() / 2.0 + t::HALL_DIP_REACH_S;
        let mut turns = 0.0_f64;
        let moment = |at: &f64| {
            let (hz, gone) = curve.at(*at);
            turns = (turns + hz * FINE_S).fract();
            let away = (at - change.middle_s) / reach;
            let phasor = Complex64::cis(std::f64::consts::TAU * turns);
            Moment {
                hz: hz as f32,
                phasor: Complex32::new(phasor.re as f32, phasor.im as f32),
                gone: gone as f32,
                level: (1.0 - t::HALL_DIP * (-away * away).exp()) as f32,
            }
        };
        self.fine.iter().map(moment).collect()
    }

    /// The player's own sound in a band: each harmonic that comes near it, at every value.
    fn direct(&self, seen: &Seen, sung: &[Moment]) -> Vec<Row> {
        let (old_hz, new_hz) = (self.known.old_hz, self.known.new_hz);
        let (low, high) = (old_hz.min(new_hz), old_hz.max(new_hz));
        let first = ((seen.band.hz - HEARS_HZ) / high).ceil().max(1.0) as usize;
        let last = ((seen.band.hz + HEARS_HZ) / low).floor() as usize;
        let hop = (STEP_S / FINE_S).round() as usize;
        let orders = first..=last.min(self.amplitudes.len());
        let harmonic = |order: usize| {
            let (old, new) = self.amplitudes.get(order - 1)?;
            let n = order as f32;
            let each = sung.iter().zip(&seen.back).map(|(moment, back)| {
                if (n * moment.hz - seen.band.hz as f32).abs() > FOLLOWED_HZ as f32 {
                    return Complex32::default();
                }
                let amplitude = moment.level * (old + (new - old) * moment.gone);
                moment.phasor.powu(order as u32) * back * amplitude
            });
            let each: Vec<Complex32> = each.collect();
            let windows = each.windows(self.window.len()).step_by(hop);
            let values = windows.map(|values| {
                let weighed = values.iter().zip(&self.window).map(|(z, w)| z * w);
                weighed.sum::<Complex32>()
            });
            Some(Row::of(values, self.times.len()))
        };
        orders.filter_map(harmonic).collect()
    }
}

/// The echoes of a note's harmonics in a band.
fn tones_in(
    band: &Band,
    times: &[f64],
    (hz, powers): (f64, &[f64]),
    field: Field,
    new: bool,
) -> Vec<Tone> {
    let orders = powers.iter().zip(1..);
    let near = orders.map(|(power, n)| (f64::from(n) * hz - band.hz, power));
    near.filter(|(away, _)| away.abs() < HEARS_HZ)
        .map(|(away, power)| Tone {
            new,
            power: (field.share * power * answer(away).powi(2)) as f32,
            turns: Row::of(turns(times, away), times.len()),
        })
        .collect()
}

/// One fine step of a change.
#[derive(Clone, Copy, Debug)]
struct Moment {
    hz: f32,
    phasor: Complex32,
    gone: f32,
    level: f32,
}
