//! The tube: one state of a bore as a row of cones.

use serde::Serialize;

use crate::impedance::End;

use super::error::BoreError;
use super::file::Bore;
use super::mouthpiece::Mouthpiece;
use super::state::State;

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

impl Bore {
    /// The tube in this state, with another mouthpiece if one is given, and spherical wave fronts.
    ///
    /// ```
    /// use horn::bore::{State, generic_bore};
    ///
    /// let trumpet = generic_bore("trumpet-bflat")?;
    /// let open = trumpet.tube(&State::default(), None)?;
    /// let first_valve = State { down: 0b001, ..State::default() };
    /// let longer = trumpet.tube(&first_valve, None)?.length() - open.length();
    /// assert!((0.15..0.20).contains(&longer));
    ///
    /// let beyond = State { pulls: [("main".to_owned(), 900.0)].into(), ..State::default() };
    /// assert!(trumpet.tube(&beyond, None).unwrap_err().to_string().contains("slide `main`"));
    /// # Ok::<(), horn::bore::BoreError>(())
    /// ```
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
