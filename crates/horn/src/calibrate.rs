//! "My horn": slide and valve tubing fitted to what a player measured, with uncertainty.
//!
//! Least squares over the player's notes, each against where the chart has it: each slide or loop in use is longer or shorter than the
//! generic one by an unknown amount, held near zero by what instruments commonly differ by. A
//! habit of the player that is the same on every note goes into the main slide.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use serde::{Deserialize, Serialize};
use tone::Tuning;

use crate::acoustics::{AcousticError, Column, Setup};
use crate::resonant::{note_place, resonance_of};
use crate::solve::normal_equations;

/// How far a slide or loop commonly differs from the generic one, mm of slide movement (our choice).
const PRIOR_MM: f64 = 15.0;
/// Least uncertainty of one measured note, cents (players repeat a note within a few cents; our
/// choice).
const LEAST_CENTS: f64 = 3.0;
/// Step for the slopes, mm.
const STEP_MM: f64 = 2.0;
/// Gauss-Newton rounds; the problem is nearly linear.
const ROUNDS: usize = 4;

/// One note as the player measured it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Label of the length: `1-2`, `T3`.
    pub length: String,
    /// Sounding MIDI key that was meant.
    pub midi: i32,
    /// Where it sounded against equal temperament, cents.
    pub cents: f64,
}

/// How one slide or loop differs from the generic bore.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trim {
    /// Slide or loop.
    pub name: String,
    /// Longer (positive) or shorter, mm of slide movement: the air path changes by twice this.
    pub mm: f64,
    /// One standard deviation of that, mm.
    pub uncertainty_mm: f64,
}

/// The outcome of a calibration.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Calibration {
    /// One entry per slide or loop that the notes say something about.
    pub trims: Vec<Trim>,
    /// Rms of measured minus model before, cents.
    pub before_cents: f64,
    /// The same after.
    pub after_cents: f64,
    /// Measured minus model for each note after, cents, in the order given.
    pub left_cents: Vec<f64>,
    /// Standard deviation of one note that the uncertainties rest on, cents.
    pub note_cents: f64,
}

impl Calibration {
    /// Puts the differences into a setup.
    pub fn apply(&self, setup: &mut Setup) {
        for trim in &self.trims {
            *setup.trim.entry(trim.name.clone()).or_insert(0.0) += trim.mm;
        }
    }
}

/// Fits the tubing of `setup` to measured notes.
///
/// ```
/// use horn::calibrate::{Measured, calibrate};
/// use horn::Setup;
/// use tone::Tuning;
///
/// let mut setup = Setup::generic("trumpet-bflat")?;
/// let note = |length: &str, midi, cents| Measured { length: length.into(), midi, cents };
/// // Concert B-flat 4 open, A 4 on 2, G 4 on 1-2: all a little flat.
/// let notes = [note("0", 70, -8.0), note("2", 69, -7.0), note("1-2", 67, -5.0)];
/// let found = calibrate(&setup, &Tuning::default(), &notes)?;
/// assert!(found.trims[0].name == "main" && found.trims[0].mm > 0.0);
/// assert!(found.after_cents < found.before_cents);
/// found.apply(&mut setup);
/// # Ok::<(), horn::AcousticError>(())
/// ```
///
/// # Errors
/// When there is no note, a length or note does not exist on the instrument, or a number is not
/// finite or beyond 150 cents (then another note was meant).
pub fn calibrate(
    setup: &Setup,
    tuning: &Tuning,
    notes: &[Measured],
) -> Result<Calibration, AcousticError> {
    if notes.is_empty() {
        return Err(AcousticError::Request(
            "no measured notes; give at least one note with its fingering and cents".to_owned(),
        ));
    }
    let names = unknowns(setup, notes)?;
    let mut fitted = setup.clone();
    let mut total = vec![0.0; names.len()];
    let mut left = misses(&fitted, tuning, notes)?;
    let before_cents = rms(&left);
    let mut note_cents = before_cents.max(LEAST_CENTS);
    let mut spread = vec![0.0; names.len()];
    for _ in 0..ROUNDS {
        let mut columns = Vec::with_capacity(names.len());
        for name in &names {
            let mut moved = fitted.clone();
            *moved.trim.entry(name.clone()).or_insert(0.0) += STEP_MM;
            let there = misses(&moved, tuning, notes)?;
            columns.push(
                left.iter()
                    .zip(&there)
                    .map(|(a, b)| (a - b) / STEP_MM)
                    .collect::<Vec<f64>>(),
            );
        }
        let prior: Vec<f64> = names
            .iter()
            .map(|_| (note_cents / PRIOR_MM).powi(2))
            .collect();
        let Some((change, inverse)) = normal_equations(&columns, &left, &prior, &total) else {
            return Err(AcousticError::Request(
                "the notes do not determine the slides; add notes on other fingerings".to_owned(),
            ));
        };
        for ((name, total), change) in names.iter().zip(&mut total).zip(&change) {
            *total += change;
            *fitted.trim.entry(name.clone()).or_insert(0.0) += change;
        }
        left = misses(&fitted, tuning, notes)?;
        let freedom = notes.len().saturating_sub(names.len()).max(1) as f64;
        note_cents = (left.iter().map(|c| c * c).sum::<f64>() / freedom)
            .sqrt()
            .max(LEAST_CENTS);
        spread = inverse
            .iter()
            .map(|v| note_cents * v.max(0.0).sqrt())
            .collect();
    }
    let trims = names
        .into_iter()
        .zip(total)
        .zip(spread)
        .map(|((name, mm), uncertainty_mm)| Trim {
            name,
            mm,
            uncertainty_mm,
        })
        .collect();
    Ok(Calibration {
        trims,
        before_cents,
        after_cents: rms(&left),
        left_cents: left,
        note_cents,
    })
}

/// The main slide and every loop that some measured note goes through.
fn unknowns(setup: &Setup, notes: &[Measured]) -> Result<Vec<String>, AcousticError> {
    let mut names: Vec<String> = setup
        .bore
        .slides
        .first()
        .map(|s| s.name.clone())
        .into_iter()
        .collect();
    for note in notes {
        if note.cents.is_nan() || note.cents.abs() > 150.0 {
            return Err(AcousticError::Request(format!(
                "{} cents for key {} on {}: give a number within 150 cents of the note meant",
                note.cents, note.midi, note.length
            )));
        }
        let length = setup.length_named(&note.length)?;
        for l in setup
            .bore
            .loops
            .iter()
            .filter(|l| setup.bore.engaged(l, length.valves))
        {
            if !names.contains(&l.name) {
                names.push(l.name.clone());
            }
        }
    }
    Ok(names)
}

/// Measured minus model, cents, for each note.
fn misses(setup: &Setup, tuning: &Tuning, notes: &[Measured]) -> Result<Vec<f64>, AcousticError> {
    let mut columns: BTreeMap<&str, Column> = BTreeMap::new();
    notes
        .iter()
        .map(|note| {
            let length = setup.length_named(&note.length)?;
            let meant = tuning.equal(note.midi).0;
            let open = length.fundamental.0 * tuning.a4.0 / 440.0;
            let partial = (meant / open).round().clamp(1.0, 255.0) as u8;
            let column = match columns.entry(&note.length) {
                Entry::Occupied(known) => known.into_mut(),
                Entry::Vacant(place) => place.insert(setup.column(length.id)?),
            };
            let peak =
                resonance_of(&column.resonances.peaks, open, partial).filter(|_| partial > 1);
            let (_, peak) = peak.ok_or_else(|| {
                AcousticError::Request(format!(
                    "key {} is no partial that stands on a resonance of {}; leave it out",
                    note.midi, note.length
                ))
            })?;
            // Where the chart of this setup has the note.
            let ideal = f64::from(partial) * length.fundamental.0;
            let model = note_place(&column.at_lips, ideal, peak);
            Ok(note.cents - 1200.0 * (model / meant).log2())
        })
        .collect()
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|v| v * v).sum::<f64>() / values.len().max(1) as f64).sqrt()
}
