//! The best compromise lengths of valve tubes, by least squares.

use tone::Cents;

use super::least_squares::minimise;
use crate::{Instrument, Mechanism};

/// What may be changed besides the valve tubes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Free {
    /// The open tube may be tuned away from the pitch standard (main slide).
    pub open: bool,
    /// Compensating loops may be changed.
    pub loops: bool,
}

/// One fingering of an optimum.
#[derive(Clone, Debug, PartialEq)]
pub struct Detuning {
    /// The fingering.
    pub label: String,
    /// How far it sounds above equal temperament with the tubes as they were.
    pub before: Cents,
    /// The same with the best lengths.
    pub after: Cents,
}

/// The best lengths, what they give and what the old ones gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Optimum {
    /// How far the open tube is tuned above the pitch standard.
    pub open: Cents,
    /// The mechanism with the best lengths, as fractions of the open tube.
    pub mechanism: Mechanism,
    /// The fingerings that count, shortest first.
    pub fingerings: Vec<Detuning>,
    /// Root mean square of the detunings before.
    pub rms_before: Cents,
    /// Root mean square after.
    pub rms: Cents,
}

/// The valve lengths that make the root mean square detuning least (the method of R. W. Young,
/// "Optimum lengths of valve tubes for brass wind instruments", J. Acoust. Soc. Am. 42 (1967) 224).
///
/// The objective, stated since results depend on it: for every number of semitones that the valves
/// can lower by, the one fingering that [`crate::Practice::order`] names first; each counts once; a
/// detuning is the cents of the whole length against equal temperament, partials left out. The plain
/// three-valve case thus has seven fingerings, with 1-2 and without 3 alone.
///
/// `None` for an instrument without valves or without an order of practice.
///
/// ```
/// use horn::ideal::optimum::{Free, best_lengths};
///
/// let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
/// let best = best_lengths(trumpet, Free { open: true, loops: false }).unwrap();
/// assert!(best.rms_before.0 > 24.0 && best.rms.0 < 9.0);
/// ```
#[must_use]
pub fn best_lengths(instrument: &Instrument, free: Free) -> Option<Optimum> {
    let fingerings = counted(instrument);
    if fingerings.is_empty() {
        return None;
    }
    let start = unknowns(&instrument.mechanism, free);
    let detunings = |x: &[f64]| -> Vec<f64> {
        let (open, mechanism) = with(&instrument.mechanism, free, x);
        fingerings
            .iter()
            .map(|(_, down, semitones)| {
                open + 100.0 * f64::from(*semitones) - 1200.0 * mechanism.ratio(*down).log2()
            })
            .collect()
    };
    let before = detunings(&start);
    let x = minimise(&start, detunings);
    let after = detunings(&x);
    let (open, mechanism) = with(&instrument.mechanism, free, &x);
    Some(Optimum {
        open: Cents(open),
        mechanism,
        rms_before: rms(&before),
        rms: rms(&after),
        fingerings: fingerings
            .into_iter()
            .zip(before.into_iter().zip(after))
            .map(|((label, _, _), (before, after))| Detuning {
                label,
                before: Cents(before),
                after: Cents(after),
            })
            .collect(),
    })
}

/// The first fingering of practice for each number of semitones: label, valves, semitones.
fn counted(instrument: &Instrument) -> Vec<(String, u16, i8)> {
    if matches!(instrument.mechanism, Mechanism::Slide { .. }) {
        return Vec::new();
    }
    let mut found: Vec<(String, u16, i8)> = Vec::new();
    for label in &instrument.practice.order {
        let Some(length) = instrument.length_named(label) else {
            continue;
        };
        if !found
            .iter()
            .any(|(_, _, semitones)| *semitones == length.semitones)
        {
            found.push((label.clone(), length.valves, length.semitones));
        }
    }
    found.sort_by_key(|(_, _, semitones)| *semitones);
    found
}

/// Open tuning in cents, valve tubes, loops, in this order, as far as they are free.
fn unknowns(mechanism: &Mechanism, free: Free) -> Vec<f64> {
    let mut x = Vec::new();
    if free.open {
        x.push(0.0);
    }
    if let Mechanism::Valves {
        valves,
        compensator,
        ..
    } = mechanism
    {
        x.extend(valves.iter().map(|valve| valve.adds));
        if free.loops {
            x.extend(
                looped(*compensator, valves.len()).filter_map(|at| Some(valves.get(at)?.loop_adds)),
            );
        }
    }
    x
}

/// The valves with a compensating loop: all but the compensating valve itself.
fn looped(compensator: Option<usize>, valves: usize) -> impl Iterator<Item = usize> {
    (0..valves).filter(move |at| compensator.is_some_and(|c| c != *at))
}

/// The mechanism that these unknowns describe, and the open tuning in cents.
fn with(mechanism: &Mechanism, free: Free, x: &[f64]) -> (f64, Mechanism) {
    let mut values = x.iter().copied();
    let open = if free.open {
        values.next().unwrap_or(0.0)
    } else {
        0.0
    };
    let mut mechanism = mechanism.clone();
    if let Mechanism::Valves {
        valves,
        compensator,
        ..
    } = &mut mechanism
    {
        for valve in valves.iter_mut() {
            valve.adds = values.next().unwrap_or(valve.adds);
        }
        if free.loops {
            for at in looped(*compensator, valves.len()) {
                if let (Some(valve), Some(value)) = (valves.get_mut(at), values.next()) {
                    valve.loop_adds = value;
                }
            }
        } else if let Some(index) = *compensator {
            // Loops stay in proportion: each makes up exactly for the compensating valve's tube.
            let stretch = valves.get(index).map_or(0.0, |valve| valve.adds);
            for (at, valve) in valves.iter_mut().enumerate() {
                valve.loop_adds = if at == index {
                    0.0
                } else {
                    valve.adds * stretch
                };
            }
        }
    }
    (open, mechanism)
}

fn rms(values: &[f64]) -> Cents {
    let sum: f64 = values.iter().map(|v| v * v).sum();
    Cents((sum / values.len().max(1) as f64).sqrt())
}
