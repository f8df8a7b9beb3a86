//! Pitch standard and temperament, from the query.

use serde::Deserialize;
use tone::{Hertz, Temperament, Tuning};
use utoipa::{IntoParams, ToSchema};

use crate::server::problem::{Answer, Problem};

/// The pitch standards in use, hertz.
const STANDARDS: std::ops::RangeInclusive<f64> = 415.0..=466.0;

/// Equal temperament at a pitch standard; 440 Hz when none is asked for.
pub(super) fn equal(a4: Option<f64>) -> Answer<Tuning> {
    let a4 = a4.unwrap_or(440.0);
    if !STANDARDS.contains(&a4) {
        return Err(Problem::unprocessable("a4 must be 415 to 466 Hz"));
    }
    Ok(Tuning {
        a4: Hertz(a4),
        ..Tuning::default()
    })
}

/// A temperament by name.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum TemperamentName {
    /// Twelve equal semitones.
    #[default]
    Equal,
    /// Five-limit just intervals over the root.
    Just,
    /// Pure fifths over the root.
    Pythagorean,
    /// Quarter-comma meantone over the root.
    Meantone,
}

/// A pitch standard and temperament, from the query.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct TuningQuery {
    /// Frequency of A4 in hertz, 415 to 466; 440 when absent.
    #[param(minimum = 415, maximum = 466)]
    a4: Option<f64>,
    /// The temperament.
    #[serde(default)]
    #[param(inline)]
    temperament: TemperamentName,
    /// Pitch class of the root, 0 (C) to 11.
    #[serde(default)]
    #[param(maximum = 11)]
    pub(super) root: u8,
}

impl TuningQuery {
    /// The tuning that is asked for.
    pub(super) fn tuning(&self) -> Answer<Tuning> {
        let root = self.root;
        if root > 11 {
            return Err(Problem::unprocessable("root must be 0 (C) to 11 (B)"));
        }
        Ok(Tuning {
            temperament: match self.temperament {
                TemperamentName::Equal => Temperament::Equal,
                TemperamentName::Just => Temperament::Just { root },
                TemperamentName::Pythagorean => Temperament::Pythagorean { root },
                TemperamentName::Meantone => Temperament::Meantone { root },
            },
            ..equal(self.a4)?
        })
    }
}
