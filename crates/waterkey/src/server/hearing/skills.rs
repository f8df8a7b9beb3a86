//! From the report of a take to the figures that progress is computed from: by skill and zone.

use std::collections::BTreeMap;

use ear::Measure as Heard;
use ear::report::{Note, Outcome, Report};
use studio::progress::Measure;

/// The zone of the register that a partial lies in, for an instrument whose home is `home`.
fn zone(partial: u8, home: u8) -> Option<&'static str> {
    let home = u16::from(home.max(2));
    match u16::from(partial) {
        0 => None,
        1 => Some("pedal"),
        partial if partial < home => Some("low"),
        // A fifth above home is where the middle ends.
        partial if 2 * partial < 3 * home => Some("middle"),
        _ => Some("high"),
    }
}

/// Means of figures with their uncertainties, by skill and zone.
#[derive(Default)]
struct Means(BTreeMap<(&'static str, &'static str), Sum>);

#[derive(Default)]
struct Sum {
    count: f64,
    values: f64,
    squares: f64,
    variances: f64,
}

impl Means {
    fn add(&mut self, skill: &'static str, zone: Option<&'static str>, value: f64, sigma: f64) {
        for zone in std::iter::once("all").chain(zone) {
            let sum = self.0.entry((skill, zone)).or_default();
            sum.count += 1.0;
            sum.values += value;
            sum.squares += value * value;
            sum.variances += sigma * sigma;
        }
    }

    fn known(
        &mut self,
        skill: &'static str,
        zone: Option<&'static str>,
        figure: Heard,
        size: fn(f64) -> f64,
    ) {
        if let (Some(value), Some(sigma)) = (figure.value(), figure.uncertainty()) {
            self.add(skill, zone, size(value), sigma);
        }
    }

    fn measures(self) -> Vec<Measure> {
        self.0
            .into_iter()
            .map(|((skill, zone), sum)| {
                let mean = sum.values / sum.count;
                // What each figure is unsure by, and how the figures scatter: the larger tells
                // how well their mean is known. Few figures scatter too little by chance.
                let scatter = (sum.squares / sum.count - mean * mean).max(0.0);
                let variance = (sum.variances / sum.count).max(scatter) / sum.count;
                Measure {
                    skill: skill.into(),
                    zone: zone.into(),
                    value: mean,
                    sigma: variance.sqrt(),
                }
            })
            .collect()
    }
}

/// The figures of a take; none when its verdict says that they do not mean what they say.
pub(super) fn measures(report: &Report, home_partial: u8) -> Vec<Measure> {
    if !report.verdict.trusted {
        return Vec::new();
    }
    let mut means = Means::default();
    for line in &report.lines {
        let zone_of = |id: &str| {
            let note = line.notes.iter().find(|note| note.id == id)?;
            zone(note.partial, home_partial)
        };
        for note in line
            .notes
            .iter()
            .filter(|note| note.outcome == Outcome::AsAsked)
        {
            of_note(&mut means, note, zone(note.partial, home_partial));
        }
        for slur in &line.slurs {
            let zone = zone_of(&slur.to);
            means.known("slurs", zone, slur.slur_ms, f64::abs);
            of_share(&mut means, "caught", zone, !slur.caught.is_empty());
        }
        means.known("evenness", None, line.measures.level_spread_db, f64::abs);
    }
    means.measures()
}

fn of_note(means: &mut Means, note: &Note, zone: Option<&'static str>) {
    let heard = &note.measures;
    means.known("centring", zone, heard.pitch_cents, f64::abs);
    means.known("steadiness", zone, heard.wander_cents, f64::abs);
    if !note.slurred {
        means.known("starts", zone, heard.attack_ms, f64::abs);
        of_share(means, "chips", zone, heard.chipped.is_some());
    }
    means.known("tone", zone, heard.brightness, |value| value);
    means.known("loudness", zone, heard.level_db, |value| value);
}

/// One of a share: its own uncertainty is that of a single trial at one in ten.
fn of_share(means: &mut Means, skill: &'static str, zone: Option<&'static str>, happened: bool) {
    means.add(skill, zone, f64::from(u8::from(happened)), 0.3);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_lie_around_home() {
        let names: Vec<_> = (0..=8).map(|partial| zone(partial, 4)).collect();
        let [l, m, h] = [Some("low"), Some("middle"), Some("high")];
        assert_eq!(names, [None, Some("pedal"), l, l, m, m, h, h, h]);
    }

    #[test]
    fn a_mean_is_as_unsure_as_its_figures_scatter() {
        let mut means = Means::default();
        for value in [1.0, 3.0, 1.0, 3.0] {
            means.add("centring", Some("low"), value, 0.1);
        }
        let measures = means.measures();
        assert_eq!(measures.len(), 2);
        assert_eq!((measures[0].value, measures[0].sigma), (2.0, 0.5));
    }
}
