//! Numbers of a bore by name, such as `bell.length_mm`, and the file they come from and go to.

use std::path::PathBuf;

use horn::bore::{Bore, Shape};
use toml_edit::{DocumentMut, value};

use super::Outcome;

/// Sets a number, or several joined by `=`.
pub(crate) fn set(bore: &mut Bore, number: &str, to: f64) -> Outcome<()> {
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

/// A number of the bore; NaN where there is none.
pub(crate) fn get(bore: &Bore, name: &str) -> f64 {
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

/// The bore's own file: read at run time, so that it can be edited between fits.
pub(crate) fn path(id: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("bores")
        .join(format!("{id}.toml"))
}

/// Writes the numbers into the file, leaving everything else as it stands.
pub(crate) fn save(bore: &Bore) -> Outcome<()> {
    let path = path(&bore.id);
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
