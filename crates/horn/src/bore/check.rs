//! What a bore must satisfy: every number finite, positive where it must be, and in order.

use std::collections::BTreeSet;

use super::error::{BoreError, Problem};
use super::file::Bore;
use super::section::{Section, Shape};

/// Legal diameters, mm: from a capillary to the widest bell that could be carried.
pub(super) const DIAMETER_MM: (f64, f64) = (0.5, 2000.0);
/// Legal lengths of one section, mm.
pub(super) const LENGTH_MM: (f64, f64) = (0.1, 30_000.0);
/// Legal flare exponents.
const EXPONENT: (f64, f64) = (0.2, 3.0);
/// Most sections, loops or table points; far beyond any instrument.
const MOST: usize = 2000;

/// Collects problems, each with its place.
pub(super) struct Checker {
    id: String,
    problems: Vec<Problem>,
}

impl Checker {
    pub(super) fn new(id: &str) -> Self {
        Self {
            id: id.to_owned(),
            problems: Vec::new(),
        }
    }

    pub(super) fn wrong(&mut self, place: &str, what: String) {
        self.problems.push(Problem {
            place: place.to_owned(),
            what,
        });
    }

    pub(super) fn within(&mut self, place: &str, name: &str, value: f64, (low, high): (f64, f64)) {
        if !(value >= low && value <= high) {
            self.wrong(
                place,
                format!("{name} = {value} must lie between {low} and {high}"),
            );
        }
    }

    pub(super) fn finish(self) -> Result<(), BoreError> {
        if self.problems.is_empty() {
            Ok(())
        } else {
            Err(BoreError::Problems {
                id: self.id,
                problems: self.problems,
            })
        }
    }
}

impl Bore {
    /// Whether the numbers make a tube.
    ///
    /// # Errors
    /// [`BoreError::Problems`] with every section and number that does not hold.
    pub fn check(&self) -> Result<(), BoreError> {
        self.mouthpiece.check(&self.id)?;
        let mut c = Checker::new(&self.id);
        if self.sections.is_empty() {
            c.wrong(
                "sections",
                "there are none; give at least one [[section]]".to_owned(),
            );
        }
        if self.sections.len() > MOST || self.loops.len() > MOST || self.keys.len() > 16 {
            c.wrong(
                "file",
                format!("at most {MOST} sections, {MOST} loops and 16 keys are read"),
            );
            return c.finish();
        }
        let mut names = BTreeSet::new();
        for (i, section) in self.sections.iter().enumerate() {
            let place = format!("section {} `{}`", i + 1, section.name);
            if !names.insert(section.name.as_str()) {
                c.wrong(
                    &place,
                    "another section has this name; give it its own".to_owned(),
                );
            }
            self.check_section(section, &place, &mut c);
        }
        self.check_slides(&mut c);
        self.check_loops(&mut c);
        c.finish()
    }

    fn check_section(&self, section: &Section, place: &str, c: &mut Checker) {
        c.within(place, "length_mm", section.length_mm, LENGTH_MM);
        match &section.shape {
            Shape::Cylinder { diameter_mm } => {
                c.within(place, "diameter_mm", *diameter_mm, DIAMETER_MM);
            }
            Shape::Cone { from_mm, to_mm } => {
                c.within(place, "from_mm", *from_mm, DIAMETER_MM);
                c.within(place, "to_mm", *to_mm, DIAMETER_MM);
            }
            Shape::Flare {
                from_mm,
                to_mm,
                exponent,
            } => {
                c.within(place, "from_mm", *from_mm, DIAMETER_MM);
                c.within(place, "to_mm", *to_mm, DIAMETER_MM);
                c.within(place, "exponent", *exponent, EXPONENT);
                if to_mm <= from_mm {
                    c.wrong(place, format!("to_mm = {to_mm} must be wider than from_mm = {from_mm} for a flare; use a cone to narrow"));
                }
            }
            Shape::Table { points } => table(points, section.length_mm, place, c),
        }
        if let Some(slide) = &section.slide {
            if !matches!(section.shape, Shape::Cylinder { .. }) {
                c.wrong(
                    place,
                    format!("slide `{slide}` can only lengthen a cylinder"),
                );
            }
            let known = if slide == "hand" {
                self.hand_slide.is_some()
            } else {
                self.slides.iter().any(|s| &s.name == slide)
            };
            if !known {
                c.wrong(
                    place,
                    format!(
                        "slide `{slide}` is not described; add a [[slide]] (or [hand_slide]) for it"
                    ),
                );
            }
        }
        if !(1..=4).contains(&section.legs) {
            c.wrong(
                place,
                format!("legs = {} must lie between 1 and 4", section.legs),
            );
        }
    }

    fn check_slides(&self, c: &mut Checker) {
        for slide in &self.slides {
            let place = format!("slide `{}`", slide.name);
            c.within(&place, "throw_mm", slide.throw_mm, (0.0, LENGTH_MM.1));
            c.within(
                &place,
                "rest_mm",
                slide.rest_mm,
                (0.0, slide.throw_mm.max(0.0)),
            );
        }
        if let Some(hand) = &self.hand_slide {
            c.within("hand slide", "throw_mm", hand.throw_mm, LENGTH_MM);
            c.within(
                "hand slide",
                "open_length_mm",
                hand.open_length_mm,
                (100.0, 20_000.0),
            );
        }
    }

    fn check_loops(&self, c: &mut Checker) {
        let mut names: BTreeSet<&str> = self.slides.iter().map(|s| s.name.as_str()).collect();
        for (i, l) in self.loops.iter().enumerate() {
            let place = format!("loop {} `{}`", i + 1, l.name);
            if !names.insert(l.name.as_str()) {
                c.wrong(
                    &place,
                    "another loop or slide has this name; give it its own".to_owned(),
                );
            }
            if l.length_mm <= 0.0 {
                c.wrong(&place, format!("length_mm = {}: a key may only lengthen the tube; to shorten it, list the key in `up` of the tubing it takes out", l.length_mm));
            } else {
                c.within(&place, "length_mm", l.length_mm, LENGTH_MM);
            }
            c.within(&place, "diameter_mm", l.diameter_mm, DIAMETER_MM);
            c.within(&place, "throw_mm", l.throw_mm, (0.0, LENGTH_MM.1));
            if !self.sections.iter().any(|s| s.name == l.after) {
                c.wrong(
                    &place,
                    format!("after = `{}`: there is no such section", l.after),
                );
            }
            for key in l.down.iter().chain(&l.up) {
                if !self.keys.contains(key) {
                    c.wrong(
                        &place,
                        format!("key `{key}` is not among keys = {:?}", self.keys),
                    );
                }
            }
            if l.down.is_empty() && l.up.is_empty() {
                c.wrong(&place, "name at least one key in `down` or `up`".to_owned());
            }
        }
    }
}

fn table(points: &[[f64; 2]], length: f64, place: &str, c: &mut Checker) {
    if points.len() < 2 || points.len() > MOST {
        c.wrong(
            place,
            format!("points has {} pairs; give 2 to {MOST}", points.len()),
        );
        return;
    }
    for (i, p) in points.iter().enumerate() {
        c.within(
            place,
            &format!("diameter of point {}", i + 1),
            p[1],
            DIAMETER_MM,
        );
        if !p[0].is_finite() {
            c.wrong(
                place,
                format!("distance of point {} = {} is not a number", i + 1, p[0]),
            );
        }
    }
    for (i, w) in points.windows(2).enumerate() {
        if w[1][0] <= w[0][0] {
            c.wrong(
                place,
                format!(
                    "points {} and {} are not in order: {} mm then {} mm",
                    i + 1,
                    i + 2,
                    w[0][0],
                    w[1][0]
                ),
            );
        }
    }
    let (first, last) = (
        points.first().map_or(0.0, |p| p[0]),
        points.last().map_or(0.0, |p| p[0]),
    );
    if first != 0.0 || (last - length).abs() > 1e-6 {
        c.wrong(
            place,
            format!(
                "points run from {first} to {last} mm but must run from 0 to length_mm = {length}"
            ),
        );
    }
}
