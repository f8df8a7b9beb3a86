//! Fits the free numbers of the generic bores so that their partials lie where players find them.
//!
//! `cargo run --release -p horn --example fit_bores -- [--write] [id ...]` prints each bore's
//! deviations; with `--write` it puts the fitted numbers back into `bores/*.toml`.
//!
//! Target: partials 2 to 8 of the lengths named in `[fit]` at whole multiples of the length's
//! fundamental (A4 = 440 Hz, default air, slides at their usual place). The free numbers start at
//! the common dimensions and are held near them by a soft limit; valve loops are set so that each
//! valve alone lowers partials 2 to 6 by its interval on average. Levenberg-Marquardt.

#![allow(clippy::print_stdout)]

mod least;
mod numbers;

use std::error::Error;

use horn::bore::{Bore, generic_bore_ids};
use horn::{Length, Setup, impedance};

use least::solve;
use numbers::{get, path, save, set};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Cents of misfit that moving a number by its whole `within` share costs.
const PULL_CENTS: f64 = 3.0;
/// Hard limit of a free number, in units of its `within`.
const FURTHEST: f64 = 2.5;
const ROUNDS: usize = 3;
const STEPS: usize = 7;

fn main() -> Outcome<()> {
    let (flags, ids): (Vec<String>, Vec<String>) =
        std::env::args().skip(1).partition(|a| a.starts_with("--"));
    let write = flags.iter().any(|f| f == "--write");
    let all: Vec<String> = generic_bore_ids().map(str::to_owned).collect();
    for id in if ids.is_empty() { all } else { ids } {
        let fitted = fit(&id)?;
        report(&fitted)?;
        if write {
            save(&fitted.bore)?;
        }
    }
    Ok(())
}

fn fit(id: &str) -> Outcome<Setup> {
    let instrument = horn::catalog::find(id).ok_or("no such instrument")?;
    let bore = Bore::from_toml(&std::fs::read_to_string(path(id))?)?;
    let mut setup = Setup::new(instrument.clone(), bore);
    let fit = setup.bore.fit.clone().ok_or("the bore has no [fit]")?;
    for free in &fit.free {
        set(&mut setup.bore, &free.number, free.start)?;
    }
    let lengths: Vec<Length> = fit
        .lengths
        .iter()
        .map(|label| setup.length_named(label).cloned())
        .collect::<Result<_, _>>()?;
    let mut x = vec![0.0; fit.free.len()];
    let place = |bore: &mut Bore, x: &[f64]| -> Outcome<()> {
        for (free, x) in fit.free.iter().zip(x) {
            set(bore, &free.number, free.start * (1.0 + free.within * x))?;
        }
        Ok(())
    };
    let size = |r: &[f64]| r.iter().map(|r| r * r).sum::<f64>();
    let mut damping = 0.01;
    for _ in 0..ROUNDS {
        set_loops(&mut setup)?;
        for _ in 0..STEPS {
            let here = residuals(&setup, &lengths, &x)?;
            let mut columns = Vec::new();
            for i in 0..x.len() {
                let mut moved = x.clone();
                moved[i] += 0.02;
                place(&mut setup.bore, &moved)?;
                let there = residuals(&setup, &lengths, &moved)?;
                columns.push(
                    here.iter()
                        .zip(&there)
                        .map(|(a, b)| (b - a) / 0.02)
                        .collect::<Vec<f64>>(),
                );
            }
            for _ in 0..7 {
                let change = solve(&columns, &here, damping);
                let next: Vec<f64> = x
                    .iter()
                    .zip(&change)
                    .map(|(x, d)| (x - d).clamp(-FURTHEST, FURTHEST))
                    .collect();
                place(&mut setup.bore, &next)?;
                let after = residuals(&setup, &lengths, &next).map_or(f64::INFINITY, |r| size(&r));
                if after < size(&here) {
                    x = next;
                    damping *= 0.3;
                    break;
                }
                damping *= 4.0;
            }
            place(&mut setup.bore, &x)?;
        }
    }
    set_loops(&mut setup)?;
    let rms = |lengths: &[Length]| -> Outcome<f64> {
        let mut all = Vec::new();
        for length in lengths {
            all.extend(deviations(&setup, length)?);
        }
        Ok((all.iter().map(|c| c * c).sum::<f64>() / all.len() as f64).sqrt())
    };
    let (open, joint) = (rms(&lengths[..1])?, rms(&lengths)?);
    if let Some(fit) = &mut setup.bore.fit {
        fit.open_rms_cents = Some((open * 10.0).round() / 10.0);
        fit.joint_rms_cents = Some((joint * 10.0).round() / 10.0);
    }
    Ok(setup)
}

/// Cents of partials 2 to 8 (or as the bore says) against whole multiples of the length's fundamental.
fn deviations(setup: &Setup, length: &Length) -> Outcome<Vec<f64>> {
    let fundamental = length.fundamental.0;
    let highest = setup.bore.fit.as_ref().map_or(8, |f| f.highest_partial);
    let found = impedance::resonances(
        &setup.tube(length.id)?,
        &setup.medium()?,
        (f64::from(highest) + 0.8) * fundamental,
    )?;
    (2..=highest)
        .map(|n| {
            let target = f64::from(n) * fundamental;
            // Numbered from the lowest resonance, which the search cannot miss.
            let peak = found
                .peaks
                .get(n as usize - 1)
                .ok_or("a resonance is missing")?;
            Ok(1200.0 * (peak.frequency / target).log2())
        })
        .collect()
}

fn residuals(setup: &Setup, lengths: &[Length], x: &[f64]) -> Outcome<Vec<f64>> {
    let mut out = Vec::new();
    for (i, length) in lengths.iter().enumerate() {
        // The open tube counts most; the long ones keep partial 2 from drifting.
        let (low, other) = match &setup.bore.fit {
            Some(fit) if i > 0 => (fit.long_low_weight, 0.6),
            _ => (1.0, 1.0),
        };
        let cents = deviations(setup, length)?;
        let weights = std::iter::once(low).chain(std::iter::repeat(other));
        out.extend(cents.iter().zip(weights).map(|(c, weight)| c * weight));
    }
    out.extend(x.iter().map(|x| x * PULL_CENTS));
    Ok(out)
}

/// Sets each loop so that the length that uses it and no later one has its interval on average.
fn set_loops(setup: &mut Setup) -> Outcome<()> {
    // The tube without any loop: all keys up, or on a double horn the shorter side.
    let plain = setup
        .bore
        .fit
        .as_ref()
        .and_then(|f| f.lengths.first().cloned())
        .ok_or("no lengths in [fit]")?;
    let plain = setup.length_named(&plain)?.clone();
    for index in 0..setup.bore.loops.len() {
        let wanted = setup.bore.loops[index]
            .down
            .iter()
            .try_fold(0_u16, |bits, key| {
                let bit = setup.bore.keys.iter().position(|k| k == key)?;
                Some(bits | 1 << bit)
            });
        let length = setup
            .instrument
            .lengths
            .iter()
            .find(|l| {
                Some(l.valves) == wanted && l.position.is_none_or(|p| p == 1 || l.valves != 0)
            })
            .cloned()
            .ok_or("no length uses this loop alone")?;
        let mean = |setup: &Setup| -> Outcome<f64> {
            let mean = |l: &Length| {
                Ok::<f64, Box<dyn Error>>(deviations(setup, l)?.iter().take(5).sum::<f64>() / 5.0)
            };
            Ok(mean(&length)? - mean(&plain)?)
        };
        for _ in 0..3 {
            let cents = mean(setup)?;
            let acoustic_mm = 1000.0 * setup.medium()?.c / (2.0 * length.fundamental.0);
            let add = acoustic_mm * ((cents / 1200.0).exp2() - 1.0);
            setup.bore.loops[index].length_mm = (setup.bore.loops[index].length_mm + add).max(1.0);
        }
    }
    Ok(())
}

fn report(setup: &Setup) -> Outcome<()> {
    let fit = setup.bore.fit.clone().unwrap_or_default();
    println!(
        "{}: open {:.1} cents rms, joint {:.1}",
        setup.bore.id,
        fit.open_rms_cents.unwrap_or(f64::NAN),
        fit.joint_rms_cents.unwrap_or(f64::NAN)
    );
    for free in &fit.free {
        let first = free.number.split('=').next().unwrap_or(&free.number);
        println!(
            "  {first}: {} -> {:.3}",
            free.start,
            get(&setup.bore, first)
        );
    }
    for label in &fit.lengths {
        println!(
            "  {label:>6}: {:.0?}",
            deviations(setup, setup.length_named(label)?)?
        );
    }
    Ok(())
}
