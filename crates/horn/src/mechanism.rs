//! Valves, slide, rotors: from the parts to every length of the tube, exactly.
//!
//! Lengths are fractions of the open tube. An equal-tempered semitone is a ratio of 2^(1/12), so a
//! valve meant for `s` semitones adds `2^(s/12) - 1`; valves pressed together *add* their tubes, and
//! the sum falls short of the product that the scale asks for.

use serde::{Deserialize, Serialize};
use tone::Hertz;

use crate::{Length, LengthId};

/// A valve or rotor and the tube that it switches in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Valve {
    /// As it stands in a fingering: `1`, or `T` for a rotor.
    pub label: String,
    /// Semitones that it is meant to lower the open tube by.
    pub semitones: u8,
    /// Tube added, as a fraction of the open length (0.122462 for an exact whole tone).
    pub adds: f64,
    /// Tube added beyond `adds` while the compensating valve is down, same unit; 0 without one.
    pub loop_adds: f64,
}

/// The valve that changes a double horn to its shorter side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Thumb {
    /// As it stands in a fingering.
    pub label: String,
    /// Semitones by which the side lies below the open tube: -5 for B-flat on an F horn.
    pub semitones: i8,
    /// Open length of that side relative to the open tube. Its own valve tubes are in the same
    /// proportion.
    pub ratio: f64,
}

/// What changes the length of the tube.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Mechanism {
    /// Valves, with a compensating valve or a second side where there is one.
    Valves {
        /// The valves, first valve first.
        valves: Vec<Valve>,
        /// Index of the valve that switches in the others' compensating loops.
        compensator: Option<usize>,
        /// The change to the shorter side.
        thumb: Option<Thumb>,
        /// Lengths that players use for another number of semitones than the sum of the valves
        /// (slides pulled), as pairs of label and semitones.
        means: Vec<(String, i8)>,
    },
    /// A hand slide, with rotors where there are any.
    Slide {
        /// Whole positions on the open side.
        positions: u8,
        /// How far the slide goes out, in semitones of the open side.
        reach: f64,
        /// Rotors; their tubes add.
        rotors: Vec<Valve>,
    },
}

/// A combination of valves is taken for the sum of their semitones as long as it is no more than
/// this much sharp of it (a pulled slide makes up for it), else for the nearest semitone.
/// Common practice, no source: 1-2-4 at +79 cents is still fingered as eight semitones.
const SHARPEST_SUM_CENTS: f64 = 80.0;
/// The same for a combination that is flat of the sum; nothing makes up for a tube too long.
const FLATTEST_SUM_CENTS: f64 = -50.0;
/// A slide position is listed when the slide can be put within this much of it.
const SLIDE_TOLERANCE_CENTS: f64 = 30.0;

impl Mechanism {
    /// Every length, the open tube first; `fundamental` is the open tube's at A4 = 440 Hz.
    #[must_use]
    pub fn lengths(&self, fundamental: Hertz) -> Vec<Length> {
        let mut lengths = match self {
            Self::Valves { .. } => self.valve_lengths(),
            Self::Slide {
                positions,
                reach,
                rotors,
            } => slide_lengths(*positions, *reach, rotors),
        };
        for (index, length) in lengths.iter_mut().enumerate() {
            length.id = LengthId(u16::try_from(index).unwrap_or(u16::MAX));
            length.fundamental = Hertz(fundamental.0 / length.ratio);
        }
        lengths
    }

    /// Length with these valves or rotors down and the slide in, relative to the open tube.
    #[must_use]
    pub fn ratio(&self, down: u16) -> f64 {
        match self {
            Self::Slide { rotors, .. } => 1.0 + pressed(rotors, down).map(|v| v.adds).sum::<f64>(),
            Self::Valves {
                valves,
                compensator,
                thumb,
                ..
            } => {
                let looped = compensator.is_some_and(|c| down & (1 << c) != 0);
                let added: f64 = pressed(valves, down)
                    .map(|valve| valve.adds + if looped { valve.loop_adds } else { 0.0 })
                    .sum();
                let side = thumb
                    .as_ref()
                    .filter(|_| down & (1 << valves.len()) != 0)
                    .map_or(1.0, |thumb| thumb.ratio);
                side * (1.0 + added)
            }
        }
    }

    /// How far out the slide goes, as a fraction of the open length; 0 without a slide.
    #[must_use]
    pub fn reach(&self) -> f64 {
        match self {
            Self::Slide { reach, .. } => (reach / 12.0).exp2() - 1.0,
            Self::Valves { .. } => 0.0,
        }
    }

    fn valve_lengths(&self) -> Vec<Length> {
        let Self::Valves {
            valves,
            thumb,
            means,
            ..
        } = self
        else {
            return Vec::new();
        };
        let states = 1_u16 << (valves.len() + usize::from(thumb.is_some()));
        (0..states)
            .map(|down| {
                let ratio = self.ratio(down);
                let side = thumb.as_ref().filter(|_| down & (1 << valves.len()) != 0);
                let label = valve_label(valves, thumb.is_some(), side, down);
                let sum = pressed(valves, down)
                    .map(|valve| i32::from(valve.semitones))
                    .sum::<i32>()
                    + side.map_or(0, |side| i32::from(side.semitones));
                let semitones = means
                    .iter()
                    .find(|(named, _)| *named == label)
                    .map_or_else(|| meant(sum, ratio), |(_, semitones)| *semitones);
                blank(label, down, ratio, semitones)
            })
            .collect()
    }
}

/// The valves that a bit set holds down.
fn pressed(valves: &[Valve], down: u16) -> impl Iterator<Item = &Valve> {
    valves
        .iter()
        .enumerate()
        .filter(move |(bit, _)| down & (1 << bit) != 0)
        .map(|(_, valve)| valve)
}

/// `1-3` on one side; `13` and `T13` where there are two, as horn players write.
fn valve_label(valves: &[Valve], two_sided: bool, side: Option<&Thumb>, down: u16) -> String {
    let names: Vec<&str> = pressed(valves, down).map(|v| v.label.as_str()).collect();
    let name = match (names.is_empty(), two_sided) {
        (true, _) => "0".to_owned(),
        (false, true) => names.concat(),
        (false, false) => names.join("-"),
    };
    side.map_or(name.clone(), |side| format!("{}{name}", side.label))
}

fn meant(sum: i32, ratio: f64) -> i8 {
    let exact = 12.0 * ratio.log2();
    let sharp = (f64::from(sum) - exact) * 100.0;
    if (FLATTEST_SUM_CENTS..=SHARPEST_SUM_CENTS).contains(&sharp) {
        sum as i8
    } else {
        exact.round() as i8
    }
}

fn slide_lengths(positions: u8, reach: f64, rotors: &[Valve]) -> Vec<Length> {
    let travel = (reach / 12.0).exp2() - 1.0;
    let mut lengths = Vec::new();
    for down in 0..1_u16 << rotors.len() {
        let base = 1.0 + pressed(rotors, down).map(|r| r.adds).sum::<f64>();
        // Two rotors fall short of the sum of their semitones: F and G-flat together give D.
        let lowered = (12.0 * base.log2()).round() as i32;
        let prefix: String = pressed(rotors, down).map(|r| r.label.as_str()).collect();
        for position in 1..=positions {
            let semitones = lowered + i32::from(position) - 1;
            let wanted = (f64::from(semitones) / 12.0).exp2();
            let ratio = wanted.clamp(base, base + travel);
            if (1200.0 * (ratio / wanted).log2()).abs() > SLIDE_TOLERANCE_CENTS {
                continue;
            }
            let mut length = blank(format!("{prefix}{position}"), down, ratio, semitones as i8);
            length.position = Some(position);
            length.slide_place = Some(1.0 + 12.0 * (1.0 + ratio - base).log2());
            lengths.push(length);
        }
    }
    lengths
}

fn blank(label: String, valves: u16, ratio: f64, semitones: i8) -> Length {
    Length {
        id: LengthId(0),
        label,
        valves,
        position: None,
        slide_place: None,
        ratio,
        fundamental: Hertz(0.0),
        semitones,
    }
}
