//! The tube: one state of a bore as a row of cones, and the states a bore can take.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::impedance::End;

use super::error::{BoreError, Problem};
use super::file::Bore;
use super::mouthpiece::Mouthpiece;

/// A straight piece of tube, SI units; a cylinder when both radii are equal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cone {
    /// Radius at the player's side, m.
    pub r1: f64,
    /// Radius at the bell's side, m.
    pub r2: f64,
    /// Length along the axis, m.
    pub length: f64,
}

impl Cone {
    /// The radius at which the boundary-layer losses are taken, m: the mean.
    #[must_use]
    pub fn loss_radius(&self) -> f64 {
        0.5 * (self.r1 + self.r2)
    }

    /// The piece between two shares (0 to 1) of its length.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Self {
        let grow = self.r2 - self.r1;
        Self {
            r1: self.r1 + grow * from,
            r2: self.r1 + grow * to,
            length: self.length * (to - from),
        }
    }
}

/// Where a named part lies in the tube, m from the lips.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Name of the section or loop.
    pub name: String,
    /// Start, m.
    pub from: f64,
    /// End, m.
    pub to: f64,
}

/// A tube from the lips to the bell.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tube {
    /// Cones, lips first.
    pub cones: Vec<Cone>,
    /// Named parts, lips first.
    pub parts: Vec<Part>,
    /// What is at the bell.
    pub end: End,
    /// Radius of the rim that radiates, m; the last cone's where `None`. (With spherical fronts the
    /// last cone is wider than the rim, by the bulge of the wave.)
    pub rim: Option<f64>,
}

impl Tube {
    /// A tube of these cones, without names, radiating from an unflanged rim.
    #[must_use]
    pub fn of(cones: Vec<Cone>) -> Self {
        Self {
            cones,
            ..Self::default()
        }
    }

    /// Length along the axis, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.cones.iter().map(|c| c.length).sum()
    }

    /// Radius of the rim, m; 0 for an empty tube.
    #[must_use]
    pub fn mouth_radius(&self) -> f64 {
        self.rim
            .unwrap_or_else(|| self.cones.last().map_or(0.0, |c| c.r2))
    }

    /// The same tube with spherical wave fronts: in each cone of half-angle `t` the area is that of
    /// the cap, `2/(1 + cos t)` times the disc's, and the path is the slant, `1/cos t` times the axis.
    ///
    /// Exact for a single cone; joining caps of different curvature is the usual approximation
    /// (Hélie, J. Acoust. Soc. Am. 114 (2003) 2633). Plane fronts put the upper resonances of a
    /// trumpet bell some 30 cents higher: transmission matrices have their limits in steep flares.
    #[must_use]
    pub fn with_spherical_fronts(&self) -> Self {
        let mut out = Self {
            rim: Some(self.mouth_radius()),
            end: self.end,
            ..Self::default()
        };
        let mut cones = self.cones.iter().peekable();
        let (mut axis, mut path) = (0.0, 0.0);
        for part in &self.parts {
            let from = path;
            while let Some(c) = cones.next_if(|c| axis + 0.5 * c.length < part.to) {
                let slope = (c.r2 - c.r1) / c.length;
                let cosine = 1.0 / (1.0 + slope * slope).sqrt();
                let widen = (2.0 / (1.0 + cosine)).sqrt();
                out.cones.push(Cone {
                    r1: c.r1 * widen,
                    r2: c.r2 * widen,
                    length: c.length / cosine,
                });
                axis += c.length;
                path += c.length / cosine;
            }
            out.parts.push(Part {
                name: part.name.clone(),
                from,
                to: path,
            });
        }
        out
    }
}

/// One state of an instrument's mechanism.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct State {
    /// Keys down, as a bit set in the order of [`Bore::keys`].
    pub down: u16,
    /// Hand-slide extension, mm of slide movement (the air path grows by twice that).
    pub hand_mm: f64,
    /// Pulls of named slides and valve slides, mm; the rest position of the file where absent.
    pub pulls: BTreeMap<String, f64>,
    /// What a slide or loop is longer than the file says, mm of slide movement, either sign: how a
    /// player's own instrument differs from the generic one.
    pub trim: BTreeMap<String, f64>,
}

impl Bore {
    /// The tube in this state, with another mouthpiece if one is given, and spherical wave fronts.
    ///
    /// # Errors
    /// When the bore's own numbers do not hold (see [`Bore::check`]), or the state asks for a key or
    /// slide the bore has not, or pulls a slide beyond its throw.
    pub fn tube(&self, state: &State, mouthpiece: Option<&Mouthpiece>) -> Result<Tube, BoreError> {
        Ok(self.outline(state, mouthpiece)?.with_spherical_fronts())
    }

    /// The tube as it is made: distances along the axis, radii of the wall, plane fronts.
    ///
    /// # Errors
    /// As [`Bore::tube`].
    pub fn outline(
        &self,
        state: &State,
        mouthpiece: Option<&Mouthpiece>,
    ) -> Result<Tube, BoreError> {
        self.check()?;
        self.check_state(state)?;
        let mut tube = Tube::default();
        let mouthpiece = mouthpiece.unwrap_or(&self.mouthpiece);
        mouthpiece.check(&self.id)?;
        tube.add("mouthpiece", |out| mouthpiece.cones(out));
        for section in &self.sections {
            let pull = match section.slide.as_deref() {
                Some("hand") => state.hand_mm,
                Some(name) => self.pull(state, name),
                None => 0.0,
            };
            tube.add(&section.name, |out| {
                section.cones(pull * f64::from(section.legs), out);
            });
            for l in self
                .loops
                .iter()
                .filter(|l| l.after == section.name && self.engaged(l, state.down))
            {
                let length = (l.length_mm + 2.0 * self.pull(state, &l.name)) / 1000.0;
                let r = l.diameter_mm / 2000.0;
                tube.add(&l.name, |out| {
                    out.push(Cone {
                        r1: r,
                        r2: r,
                        length,
                    });
                });
            }
        }
        Ok(tube)
    }

    /// Pull of a slide in this state, mm.
    fn pull(&self, state: &State, name: &str) -> f64 {
        let rest = || {
            self.slides
                .iter()
                .find(|s| s.name == name)
                .map_or(0.0, |s| s.rest_mm)
        };
        state.pulls.get(name).copied().unwrap_or_else(rest)
            + state.trim.get(name).copied().unwrap_or(0.0)
    }

    fn check_state(&self, state: &State) -> Result<(), BoreError> {
        let mut problems = Vec::new();
        let mut wrong = |place: &str, what: String| {
            problems.push(Problem {
                place: place.to_owned(),
                what,
            });
        };
        let known = (1_u32 << self.keys.len().min(16)) - 1;
        if u32::from(state.down) & !known != 0 {
            wrong(
                "state",
                format!(
                    "keys down are {:#b}, but there are only {} keys",
                    state.down,
                    self.keys.len()
                ),
            );
        }
        let reach = self.hand_slide.as_ref().map_or(0.0, |h| h.throw_mm);
        if !(state.hand_mm >= 0.0 && state.hand_mm <= reach) {
            wrong(
                "hand slide",
                format!(
                    "extension {} mm must lie between 0 and {reach} mm",
                    state.hand_mm
                ),
            );
        }
        for (name, &mm) in &state.trim {
            let room = self.slides.iter().any(|s| &s.name == name).then(|| {
                let legs = self
                    .sections
                    .iter()
                    .filter(|s| s.slide.as_ref() == Some(name));
                legs.map(|s| s.length_mm / f64::from(s.legs))
                    .fold(f64::INFINITY, f64::min)
            });
            let room = room.or_else(|| {
                self.loops
                    .iter()
                    .find(|l| &l.name == name)
                    .map(|l| l.length_mm / 2.0)
            });
            match room {
                None => wrong("trim", format!("there is no slide or loop `{name}`")),
                Some(room) if mm.is_nan() || mm.abs() >= room.min(1000.0) => {
                    wrong(
                        &format!("trim of `{name}`"),
                        format!("{mm} mm must stay within {room:.0} mm either way"),
                    );
                }
                Some(_) => {}
            }
        }
        for (name, &pull) in &state.pulls {
            match self.throw(name) {
                None => wrong(
                    "pulls",
                    format!(
                        "there is no slide `{name}`; there are: {}",
                        self.slide_names().join(", ")
                    ),
                ),
                Some(throw) if !(pull >= 0.0 && pull <= throw) => {
                    wrong(
                        &format!("slide `{name}`"),
                        format!("pull {pull} mm must lie between 0 and {throw} mm"),
                    );
                }
                Some(_) => {}
            }
        }
        if problems.is_empty() {
            Ok(())
        } else {
            Err(BoreError::Problems {
                id: self.id.clone(),
                problems,
            })
        }
    }
}

impl Tube {
    fn add(&mut self, name: &str, fill: impl FnOnce(&mut Vec<Cone>)) {
        let before = self.cones.len();
        let from = self.parts.last().map_or(0.0, |p| p.to);
        fill(&mut self.cones);
        let to = from
            + self
                .cones
                .iter()
                .skip(before)
                .map(|c| c.length)
                .sum::<f64>();
        self.parts.push(Part {
            name: name.to_owned(),
            from,
            to,
        });
    }
}
