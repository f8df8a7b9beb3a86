//! One section of the bore, and how its shape is cut into cones.

use serde::{Deserialize, Serialize};

use super::error::BoreError;
use super::profile::Profile;
use super::tube::Cone;

/// Cones of a Bessel flare, in equal steps of log radius, so that they bunch at the mouth.
/// 64 hold the resonances of a trumpet bell within 0.2 cent of the exact horn (see the tests).
const FLARE_CONES: usize = 64;
/// Largest step of log radius within one cone elsewhere: losses are those of the mean radius.
const LOG_STEP: f64 = 0.1;
/// The same in a table of measured diameters, where the outline itself is curved.
const TABLE_LOG_STEP: f64 = 0.03;

/// The outline of a section; diameters in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "shape", deny_unknown_fields)]
pub enum Shape {
    /// Straight.
    Cylinder {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Straight taper.
    Cone {
        /// Diameter at the player's side, mm.
        from_mm: f64,
        /// Diameter at the bell's side, mm.
        to_mm: f64,
    },
    /// Bessel flare `r = b x^-exponent`, `x` measured from a point beyond the mouth
    /// (Benade & Jansson, Acustica 31 (1974) 79).
    Flare {
        /// Diameter at the player's side, mm.
        from_mm: f64,
        /// Diameter at the bell's side, mm.
        to_mm: f64,
        /// Flare exponent, 0.3 to 2; about 0.7 for trumpet and trombone bells.
        exponent: f64,
    },
    /// Measured outline: `[distance, diameter]` in mm from the section's start, joined by a
    /// monotone cubic. The last distance must equal the section's length.
    Table {
        /// Pairs of distance and diameter, mm, distances increasing from 0.
        points: Vec<[f64; 2]>,
    },
}

/// One section of the bore, in the order of the air from the mouthpiece on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Section {
    /// Name, unique within the bore.
    pub name: String,
    /// Length with every slide in, mm.
    pub length_mm: f64,
    /// Outline.
    #[serde(flatten)]
    pub shape: Shape,
    /// The slide whose pull lengthens this section, if any (cylinders only).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slide: Option<String>,
    /// How many legs of that slide this section has: its length grows by `legs` times the pull.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub legs: u8,
    /// Where the numbers come from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
}

const fn one() -> u8 {
    1
}

#[allow(clippy::trivially_copy_pass_by_ref)] // the signature serde asks for
const fn is_one(legs: &u8) -> bool {
    *legs == 1
}

impl Section {
    /// One section from TOML text, such as a leadpipe to try; checked when it is put into a bore.
    ///
    /// # Errors
    /// When the text is not TOML of this form; the message names line and column.
    pub fn from_toml(text: &str) -> Result<Self, BoreError> {
        toml::from_str(text).map_err(|e| BoreError::Syntax {
            message: e.to_string(),
        })
    }

    /// Diameters at both ends, mm.
    #[must_use]
    pub fn diameters(&self) -> (f64, f64) {
        match &self.shape {
            Shape::Cylinder { diameter_mm } => (*diameter_mm, *diameter_mm),
            Shape::Cone { from_mm, to_mm } | Shape::Flare { from_mm, to_mm, .. } => {
                (*from_mm, *to_mm)
            }
            Shape::Table { points } => (
                points.first().map_or(f64::NAN, |p| p[1]),
                points.last().map_or(f64::NAN, |p| p[1]),
            ),
        }
    }

    /// The section as cones, slides in.
    #[must_use]
    pub fn to_cones(&self) -> Vec<Cone> {
        let mut out = Vec::new();
        self.cones(0.0, &mut out);
        out
    }

    /// The section as cones, lengthened by `extra_mm`.
    pub(super) fn cones(&self, extra_mm: f64, out: &mut Vec<Cone>) {
        let length = (self.length_mm + extra_mm) / 1000.0;
        match &self.shape {
            Shape::Cylinder { diameter_mm } => {
                let r = diameter_mm / 2000.0;
                out.push(Cone {
                    r1: r,
                    r2: r,
                    length,
                });
            }
            Shape::Cone { from_mm, to_mm } => {
                straight(from_mm / 2000.0, to_mm / 2000.0, length, out);
            }
            Shape::Flare {
                from_mm,
                to_mm,
                exponent,
            } => {
                flare(from_mm / 2000.0, to_mm / 2000.0, length, *exponent, out);
            }
            Shape::Table { points } => Profile::new(points).cones(TABLE_LOG_STEP, out),
        }
    }
}

/// A straight taper, cut so that the radius hardly changes within one piece.
pub(super) fn straight(r1: f64, r2: f64, length: f64, out: &mut Vec<Cone>) {
    let pieces = ((r2 / r1).ln().abs() / LOG_STEP).ceil().max(1.0);
    let whole = Cone { r1, r2, length };
    // Equal ratios of radius: the pieces bunch at the narrow end, where the losses change fastest.
    let at = |i: f64| {
        let grow = r2 / r1 - 1.0;
        if grow == 0.0 {
            i / pieces
        } else {
            ((r2 / r1).powf(i / pieces) - 1.0) / grow
        }
    };
    for i in 0..pieces as usize {
        out.push(whole.part(at(i as f64), at(i as f64 + 1.0)));
    }
}

/// A Bessel flare from `r1` to the wider `r2`, or narrowing if `r2 < r1`.
fn flare(r1: f64, r2: f64, length: f64, exponent: f64, out: &mut Vec<Cone>) {
    let ratio = (r2 / r1).powf(1.0 / exponent);
    // r1 = b x1^-g, r2 = b x2^-g, x1 - x2 = length.
    let x2 = length / (ratio - 1.0);
    let x1 = x2 + length;
    let place = |i: usize| {
        let share = i as f64 / FLARE_CONES as f64;
        let r = r1 * (r2 / r1).powf(share);
        (x1 - x1 * (r1 / r).powf(1.0 / exponent), r)
    };
    let mut before = (0.0, r1);
    for i in 1..=FLARE_CONES {
        let next = place(i);
        out.push(Cone {
            r1: before.1,
            r2: next.1,
            length: next.0 - before.0,
        });
        before = next;
    }
}
