//! The mouthpiece: cup, throat, backbore.

use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

use super::check::{Checker, DIAMETER_MM, LENGTH_MM};
use super::error::BoreError;
use super::section::straight;
use super::tube::Cone;

/// A mouthpiece by its usual numbers.
///
/// The cup is a cylinder of the rim's inner diameter over a share `bowl` of its depth, and a cone
/// from there to the throat; its depth follows from the volume.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mouthpiece {
    /// Identifier, such as `trumpet-medium`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Inner diameter of the rim, mm.
    pub rim_mm: f64,
    /// Volume of the cup, cm3.
    pub cup_cm3: f64,
    /// Share of the cup's depth that is straight: about 0.5 for a bowl, 0 for a funnel.
    pub bowl: f64,
    /// Diameter of the throat, mm.
    pub throat_mm: f64,
    /// Length of the throat's straight part, mm.
    pub throat_length_mm: f64,
    /// Diameter at the end of the backbore, mm.
    pub backbore_mm: f64,
    /// Length of the backbore, mm.
    pub backbore_length_mm: f64,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: String,
}

impl Mouthpiece {
    /// A mouthpiece from TOML text.
    ///
    /// # Errors
    /// When the text is not TOML of this form or a number is out of range.
    pub fn from_toml(text: &str) -> Result<Self, BoreError> {
        let mouthpiece: Self = toml::from_str(text).map_err(|e| BoreError::Syntax {
            message: e.to_string(),
        })?;
        mouthpiece.check(&mouthpiece.id)?;
        Ok(mouthpiece)
    }

    /// Depth of the cup from the plane of the rim to the throat, mm.
    #[must_use]
    pub fn cup_depth_mm(&self) -> f64 {
        let (rim, throat) = (self.rim_mm / 2.0, self.throat_mm / 2.0);
        let straight = PI * rim * rim;
        let taper = PI / 3.0 * (rim * rim + rim * throat + throat * throat);
        1000.0 * self.cup_cm3 / (self.bowl * straight + (1.0 - self.bowl) * taper)
    }

    /// Whether the numbers make a mouthpiece; `id` is named in the error.
    ///
    /// # Errors
    /// All numbers out of range, by name.
    pub fn check(&self, id: &str) -> Result<(), BoreError> {
        let mut c = Checker::new(id);
        let place = "mouthpiece";
        c.within(place, "rim_mm", self.rim_mm, DIAMETER_MM);
        c.within(place, "cup_cm3", self.cup_cm3, (0.01, 1000.0));
        c.within(place, "bowl", self.bowl, (0.0, 1.0));
        c.within(place, "throat_mm", self.throat_mm, DIAMETER_MM);
        c.within(place, "throat_length_mm", self.throat_length_mm, LENGTH_MM);
        c.within(place, "backbore_mm", self.backbore_mm, DIAMETER_MM);
        c.within(
            place,
            "backbore_length_mm",
            self.backbore_length_mm,
            LENGTH_MM,
        );
        if self.throat_mm > self.rim_mm {
            c.wrong(
                place,
                format!(
                    "throat_mm = {} is wider than rim_mm = {}",
                    self.throat_mm, self.rim_mm
                ),
            );
        }
        c.finish()
    }

    pub(super) fn cones(&self, out: &mut Vec<Cone>) {
        let (rim, throat) = (self.rim_mm / 2000.0, self.throat_mm / 2000.0);
        let depth = self.cup_depth_mm() / 1000.0;
        if self.bowl > 0.0 {
            out.push(Cone {
                r1: rim,
                r2: rim,
                length: depth * self.bowl,
            });
        }
        if self.bowl < 1.0 {
            straight(rim, throat, depth * (1.0 - self.bowl), out);
        }
        out.push(Cone {
            r1: throat,
            r2: throat,
            length: self.throat_length_mm / 1000.0,
        });
        straight(
            throat,
            self.backbore_mm / 2000.0,
            self.backbore_length_mm / 1000.0,
            out,
        );
    }
}
