//! The bore file: its form in TOML and what each part means.

use serde::{Deserialize, Serialize};

use super::error::{BoreError, Problem};
use super::mouthpiece::Mouthpiece;
use super::section::Section;

/// An instrument's bore with its mechanism, as a file of the catalogue or of a user states it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bore {
    /// The instrument this bore belongs to, such as `trumpet-bflat`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Where the numbers come from, as a whole.
    #[serde(default)]
    pub source: String,
    /// Valves and rotors in the order of the bits of a length's `valves`: `["1", "2", "3"]`.
    #[serde(default)]
    pub keys: Vec<String>,
    /// Mouthpiece the bore was fitted with.
    pub mouthpiece: Mouthpiece,
    /// Tuning slides.
    #[serde(default, rename = "slide")]
    pub slides: Vec<Slide>,
    /// The hand slide of a trombone.
    #[serde(default)]
    pub hand_slide: Option<HandSlide>,
    /// Sections in the order of the air.
    #[serde(rename = "section")]
    pub sections: Vec<Section>,
    /// Tubing that keys add.
    #[serde(default, rename = "loop")]
    pub loops: Vec<Loop>,
    /// How the free numbers were fitted, if they were.
    #[serde(default)]
    pub fit: Option<Fit>,
}

/// A tuning slide.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slide {
    /// Name that sections refer to, such as `main`.
    pub name: String,
    /// Longest pull, mm of slide movement.
    pub throw_mm: f64,
    /// Usual pull, mm.
    #[serde(default)]
    pub rest_mm: f64,
}

/// A hand slide; sections with `slide = "hand"` grow with it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandSlide {
    /// Longest extension, mm.
    pub throw_mm: f64,
    /// Acoustic length of the open tube, mm: half a wavelength of its fundamental. A position `s`
    /// (1 is closed) lies at half of `open_length_mm (2^((s-1)/12) - 1)`.
    pub open_length_mm: f64,
    /// Where the positions come from.
    #[serde(default)]
    pub source: String,
}

/// Tubing put into the air's way when keys are down.
///
/// A valve's own loop has one key in `down`. A compensating loop has two; the F tubing of a double
/// horn that a rotor takes out has that rotor in `up`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loop {
    /// Name, unique within the bore.
    pub name: String,
    /// Keys that must be down.
    #[serde(default)]
    pub down: Vec<String>,
    /// Keys that must be up.
    #[serde(default)]
    pub up: Vec<String>,
    /// The section after which the loop sits.
    pub after: String,
    /// Length of the added path with its slide in, mm.
    pub length_mm: f64,
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// How far its slide can be pulled, mm (0 when it cannot).
    #[serde(default)]
    pub throw_mm: f64,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: String,
}

impl HandSlide {
    /// Extension for a place in semitone positions (1.0 is closed), mm.
    #[must_use]
    pub fn extension_mm(&self, place: f64) -> f64 {
        0.5 * self.open_length_mm * (((place - 1.0) / 12.0).exp2() - 1.0)
    }

    /// Place in semitone positions of an extension in mm.
    #[must_use]
    pub fn place(&self, extension_mm: f64) -> f64 {
        1.0 + 12.0 * (1.0 + 2.0 * extension_mm / self.open_length_mm).log2()
    }
}

/// What the fitting tool (the example `fit_bores`) varies, and how well the result matches.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Labels of the lengths fitted jointly.
    pub lengths: Vec<String>,
    /// Highest partial that counts; 8 unless the instrument hardly goes there.
    #[serde(default = "eight")]
    pub highest_partial: u8,
    /// Weight of partial 2 on the lengths after the first, where partials 3 and up weigh 0.6. Less on a
    /// trombone: far out, half of it is a straight tube, whose second resonance lies flat whatever
    /// the bell; the harmonics hold that note.
    #[serde(default = "six_tenths")]
    pub long_low_weight: f64,
    /// The numbers that are free.
    #[serde(default)]
    pub free: Vec<Free>,
    /// Rms deviation of partials 2 to the highest from the played ones, cents, on the first of the lengths.
    #[serde(default)]
    pub open_rms_cents: Option<f64>,
    /// The same over all the lengths fitted.
    #[serde(default)]
    pub joint_rms_cents: Option<f64>,
}

const fn eight() -> u8 {
    8
}

const fn six_tenths() -> f64 {
    0.6
}

/// A number that the fitting tool may change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Free {
    /// `section.number`, such as `bell.length_mm`; several that stay equal are joined by `=`.
    pub number: String,
    /// Where the fit starts: the common dimension.
    pub start: f64,
    /// How far it may comfortably move, as a share of the start (a soft limit).
    pub within: f64,
}

impl Bore {
    /// A bore from TOML text.
    ///
    /// # Errors
    /// [`BoreError::Syntax`] with line and column when the text is not of this form;
    /// [`BoreError::Problems`] naming each section and number that does not hold.
    pub fn from_toml(text: &str) -> Result<Self, BoreError> {
        let bore: Self = toml::from_str(text).map_err(|e| BoreError::Syntax {
            message: e.to_string(),
        })?;
        bore.check()?;
        Ok(bore)
    }

    /// The same bore with the section of that name replaced: another leadpipe, another bell.
    ///
    /// # Errors
    /// When the bore has no section of this name, or the new one's numbers do not hold.
    ///
    /// ```
    /// use horn::bore::{generic_bore, generic_leadpipe};
    ///
    /// let trumpet = generic_bore("trumpet-bflat")?;
    /// let wider = trumpet.with_section(generic_leadpipe("trumpet-wide")?)?;
    /// assert!(wider.sections[0].diameters().0 > trumpet.sections[0].diameters().0);
    /// # Ok::<(), horn::bore::BoreError>(())
    /// ```
    pub fn with_section(&self, section: Section) -> Result<Self, BoreError> {
        let mut bore = self.clone();
        let Some(place) = bore.sections.iter_mut().find(|s| s.name == section.name) else {
            let known: Vec<&str> = self.sections.iter().map(|s| s.name.as_str()).collect();
            let what = format!(
                "there is no section `{}` to replace; there are: {}",
                section.name,
                known.join(", ")
            );
            return Err(BoreError::Problems {
                id: self.id.clone(),
                problems: vec![Problem {
                    place: "sections".to_owned(),
                    what,
                }],
            });
        };
        *place = section;
        bore.check()?;
        Ok(bore)
    }

    /// Names of everything that can be pulled: tuning slides and the slides of loops.
    #[must_use]
    pub fn slide_names(&self) -> Vec<&str> {
        let loops = self
            .loops
            .iter()
            .filter(|l| l.throw_mm > 0.0)
            .map(|l| l.name.as_str());
        self.slides
            .iter()
            .map(|s| s.name.as_str())
            .chain(loops)
            .collect()
    }

    /// How far a slide can be pulled, mm; `None` when there is none of this name.
    #[must_use]
    pub fn throw(&self, name: &str) -> Option<f64> {
        let main = self
            .slides
            .iter()
            .find(|s| s.name == name)
            .map(|s| s.throw_mm);
        main.or_else(|| {
            self.loops
                .iter()
                .find(|l| l.name == name && l.throw_mm > 0.0)
                .map(|l| l.throw_mm)
        })
    }

    /// Whether a loop is in the air's way with these keys down.
    #[must_use]
    pub fn engaged(&self, l: &Loop, down: u16) -> bool {
        let is_down = |key: &String| {
            let bit = self.keys.iter().position(|k| k == key);
            bit.is_some_and(|bit| bit < 16 && down & (1 << bit) != 0)
        };
        l.down.iter().all(is_down) && !l.up.iter().any(is_down)
    }
}
