//! The mechanism of an instrument file: valves, slide, rotors and thumb valve, with every value checked.

use toml::Spanned;

use super::file::{self, File};
use super::load::{Loader, Outcome};
use crate::mechanism::{Mechanism, Thumb, Valve};

/// More valves than any brass instrument has; keeps the number of lengths small.
const MOST_VALVES: usize = 6;

impl Loader<'_> {
    /// What changes the length of the tube.
    pub(super) fn mechanism(&self, file: &File) -> Outcome<Mechanism> {
        match &file.slide {
            Some(slide) => self.slide(file, slide),
            None => self.valves(file),
        }
    }

    fn slide(&self, file: &File, slide: &Spanned<file::Slide>) -> Outcome<Mechanism> {
        let (span, s) = (slide.span(), slide.get_ref());
        if let Some(valve) = file.valves.first() {
            let what = "a slide instrument has no [[valve]]".to_owned();
            return self.refuse(&valve.span(), what, "write [[rotor]] for an attachment");
        }
        if !(1..=12).contains(&s.positions) {
            let what = format!("{} positions", s.positions);
            return self.refuse(&span, what, "give 1 to 12");
        }
        if !(s.reach >= f64::from(s.positions) - 1.0 && s.reach <= 12.0) {
            let what = format!(
                "a reach of {} semitones does not fit {} positions",
                s.reach, s.positions
            );
            return self.refuse(&span, what, "give at least positions - 1 and at most 12");
        }
        if !(0.0..=20.0).contains(&s.rotor_cost) {
            let what = format!("rotor-cost {} is out of range", s.rotor_cost);
            return self.refuse(&span, what, "give 0 to 20 positions");
        }
        Ok(Mechanism::Slide {
            positions: s.positions,
            reach: s.reach,
            rotors: self.valve_list(&file.rotors, false)?,
        })
    }

    fn valves(&self, file: &File) -> Outcome<Mechanism> {
        if let Some(rotor) = file.rotors.first() {
            let what = "a [[rotor]] belongs to a [slide]".to_owned();
            return self.refuse(&rotor.span(), what, "write [[valve]], or add a [slide]");
        }
        let compensator = match &file.compensated_by {
            None => None,
            Some(number) if (1..=file.valves.len()).contains(number.get_ref()) => {
                Some(number.get_ref() - 1)
            }
            Some(number) => {
                let what = format!("there is no valve {}", number.get_ref());
                return self.refuse(&number.span(), what, "name one of the valves");
            }
        };
        let mut valves = self.valve_list(&file.valves, compensator.is_some())?;
        if let Some(index) = compensator {
            let stretch = valves.get(index).map_or(0.0, |valve| valve.adds);
            for (at, (valve, given)) in valves.iter_mut().zip(&file.valves).enumerate() {
                // The loop that makes up exactly for the longer tube: adds times the stretch.
                let exact = if at == index {
                    0.0
                } else {
                    valve.adds * stretch
                };
                valve.loop_adds = given.get_ref().loop_adds.unwrap_or(exact);
            }
        }
        let thumb = file.thumb.as_ref().map(|t| self.thumb(t)).transpose()?;
        let means = file
            .means
            .iter()
            .map(|(k, v)| (k.get_ref().clone(), *v.get_ref()))
            .collect();
        let mechanism = Mechanism::Valves {
            valves,
            compensator,
            thumb,
            means,
        };
        let lengths = mechanism.lengths(tone::Hertz(1.0));
        for name in file.means.keys() {
            if !lengths.iter().any(|l| l.label == *name.get_ref()) {
                let what = format!("`{}` in `means` is no length", name.get_ref());
                return self.refuse(&name.span(), what, "write it as in a fingering: 1-2-4");
            }
        }
        Ok(mechanism)
    }

    fn thumb(&self, thumb: &Spanned<file::Thumb>) -> Outcome<Thumb> {
        let (span, t) = (thumb.span(), thumb.get_ref());
        let exact = (f64::from(t.semitones) / 12.0).exp2();
        let ratio = t.ratio.unwrap_or(exact);
        if !(-12..0).contains(&t.semitones) || !(0.25..1.0).contains(&ratio) {
            let what = "the thumb side is not shorter than the open tube".to_owned();
            return self.refuse(&span, what, "give semitones -12 to -1 and a ratio below 1");
        }
        Ok(Thumb {
            label: t.label.clone(),
            semitones: t.semitones,
            ratio,
        })
    }

    fn valve_list(&self, given: &[Spanned<file::Valve>], loops: bool) -> Outcome<Vec<Valve>> {
        let mut out: Vec<Valve> = Vec::new();
        for (index, valve) in given.iter().enumerate() {
            let (span, v) = (valve.span(), valve.get_ref());
            if index >= MOST_VALVES {
                return self.refuse(&span, "more than six valves".to_owned(), "leave some out");
            }
            let label = v.label.clone().unwrap_or_else(|| (index + 1).to_string());
            if label.is_empty() || out.iter().any(|other| other.label == label) {
                let what = format!("two valves have the label `{label}`, or it is empty");
                return self.refuse(&span, what, "give each valve a label of its own");
            }
            let exact = (f64::from(v.semitones) / 12.0).exp2() - 1.0;
            let adds = v.adds.unwrap_or(exact);
            if !(1..=12).contains(&v.semitones) || !(0.01..=1.2).contains(&adds) {
                let what = format!(
                    "valve {label} would lower by {} semitones and add {adds} of the open length",
                    v.semitones
                );
                return self.refuse(
                    &span,
                    what,
                    "give 1 to 12 semitones and, if at all, `adds` from 0.01 to 1.2",
                );
            }
            let loop_adds = v.loop_adds.unwrap_or(0.0);
            if (v.loop_adds.is_some() && !loops) || !(0.0..=1.2).contains(&loop_adds) {
                let what = format!("valve {label} has loop-adds {loop_adds}");
                return self.refuse(
                    &span,
                    what,
                    "give 0 to 1.2, and name the valve in compensated-by",
                );
            }
            out.push(Valve {
                label,
                semitones: v.semitones,
                adds,
                loop_adds,
            });
        }
        Ok(out)
    }
}
