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

use std::error::Error;
use std::path::PathBuf;

use horn::bore::{Bore, Shape, generic_bore_ids};
use horn::{Length, Setup, impedance};
use toml_edit::{DocumentMut, value};

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
    let mut setup = Setup::generic(id)?;
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
        let weight = if i == 0 { 1.0 } else { 0.6 };
        out.extend(deviations(setup, length)?.iter().map(|c| c * weight));
    }
    out.extend(x.iter().map(|x| x * PULL_CENTS));
    Ok(out)
}

/// Least squares by the normal equations (a handful of unknowns), Gaussian elimination.
#[allow(clippy::needless_range_loop)]
fn solve(columns: &[Vec<f64>], residual: &[f64], damping: f64) -> Vec<f64> {
    let n = columns.len();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut m: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            (0..n)
                .map(|j| dot(&columns[i], &columns[j]))
                .chain([dot(&columns[i], residual)])
                .collect()
        })
        .collect();
    for i in 0..n {
        m[i][i] *= 1.0 + damping;
    }
    for i in 0..n {
        for j in i + 1..n {
            let factor = m[j][i] / m[i][i];
            for k in i..=n {
                m[j][k] -= factor * m[i][k];
            }
        }
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| m[i][k] * x[k]).sum();
        x[i] = (m[i][n] - known) / m[i][i];
    }
    x
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

fn set(bore: &mut Bore, number: &str, to: f64) -> Outcome<()> {
    for name in number.split('=') {
        let (part, field) = name
            .rsplit_once('.')
            .ok_or("a free number is section.number")?;
        if part == "mouthpiece" {
            match field {
                "cup_cm3" => bore.mouthpiece.cup_cm3 = to,
                "throat_mm" => bore.mouthpiece.throat_mm = to,
                "backbore_length_mm" => bore.mouthpiece.backbore_length_mm = to,
                _ => return Err(format!("no such number: {name}").into()),
            }
            continue;
        }
        let section = bore
            .sections
            .iter_mut()
            .find(|s| s.name == part)
            .ok_or_else(|| format!("no section {part}"))?;
        match (field, &mut section.shape) {
            ("length_mm", _) => section.length_mm = to,
            ("from_mm", Shape::Cone { from_mm, .. } | Shape::Flare { from_mm, .. }) => {
                *from_mm = to;
            }
            ("to_mm", Shape::Cone { to_mm, .. } | Shape::Flare { to_mm, .. }) => *to_mm = to,
            ("exponent", Shape::Flare { exponent, .. }) => *exponent = to,
            ("diameter_mm", Shape::Cylinder { diameter_mm }) => *diameter_mm = to,
            _ => return Err(format!("no such number: {name}").into()),
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

fn get(bore: &Bore, name: &str) -> f64 {
    let Some((part, field)) = name.rsplit_once('.') else {
        return f64::NAN;
    };
    if part == "mouthpiece" {
        return bore.mouthpiece.cup_cm3;
    }
    bore.sections
        .iter()
        .find(|s| s.name == part)
        .map_or(f64::NAN, |section| match (field, &section.shape) {
            ("length_mm", _) => section.length_mm,
            ("from_mm", Shape::Cone { from_mm, .. } | Shape::Flare { from_mm, .. }) => *from_mm,
            ("to_mm", Shape::Cone { to_mm, .. } | Shape::Flare { to_mm, .. }) => *to_mm,
            ("exponent", Shape::Flare { exponent, .. }) => *exponent,
            _ => f64::NAN,
        })
}

/// Writes the numbers into the file, leaving everything else as it stands.
fn save(bore: &Bore) -> Outcome<()> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("bores")
        .join(format!("{}.toml", bore.id));
    let mut file: DocumentMut = std::fs::read_to_string(&path)?.parse()?;
    let round = |x: f64, places: i32| (x * 10_f64.powi(places)).round() / 10_f64.powi(places);
    file["mouthpiece"]["cup_cm3"] = value(round(bore.mouthpiece.cup_cm3, 3));
    let sections = file["section"]
        .as_array_of_tables_mut()
        .ok_or("no sections")?;
    for (table, section) in sections.iter_mut().zip(&bore.sections) {
        table["length_mm"] = value(round(section.length_mm, 1));
        match &section.shape {
            Shape::Cone { from_mm, to_mm } | Shape::Flare { from_mm, to_mm, .. } => {
                table["from_mm"] = value(round(*from_mm, 2));
                table["to_mm"] = value(round(*to_mm, 2));
            }
            Shape::Cylinder { .. } | Shape::Table { .. } => {}
        }
        if let Shape::Flare { exponent, .. } = &section.shape {
            table["exponent"] = value(round(*exponent, 3));
        }
    }
    if let Some(loops) = file
        .get_mut("loop")
        .and_then(|l| l.as_array_of_tables_mut())
    {
        for (table, l) in loops.iter_mut().zip(&bore.loops) {
            table["length_mm"] = value(round(l.length_mm, 1));
        }
    }
    if let Some(fit) = &bore.fit {
        file["fit"]["open_rms_cents"] = value(fit.open_rms_cents.unwrap_or(f64::NAN));
        file["fit"]["joint_rms_cents"] = value(fit.joint_rms_cents.unwrap_or(f64::NAN));
    }
    std::fs::write(path, file.to_string())?;
    Ok(())
}
