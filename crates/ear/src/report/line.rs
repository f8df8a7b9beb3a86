//! The lines of a report: notes in the order of the exercise, slurs, and what holds for the line.

use std::collections::{BTreeMap, HashMap};

use super::note::Maker;
use super::shape::{Curve, Line, LineMeasures, Note, NoteMeasures, OtherPartial, Outcome, Slur};
use super::summary::centre;
use crate::measure::{evenness, stats};
use crate::{Caught, ExpectedNote, HeardSlur, Measure, TubePartial, WhyNot};

/// Seconds between the values of a curve.
const CURVE_STEP_S: f64 = 0.01;
/// A curve reaches this far before and after its line, seconds.
const CURVE_EDGE_S: f64 = 0.15;

/// Notes by line and pass, the missing ones put in; and those that belong to none.
pub(super) fn all(maker: &Maker<'_>, notes: &[Note]) -> (Vec<Line>, Vec<Note>) {
    let mut passes: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    let mut others = Vec::new();
    for (i, (heard, note)) in maker.given.heard.notes.iter().zip(notes).enumerate() {
        match heard.place {
            Some(place) => passes.entry((place.line, place.pass)).or_default().push(i),
            None => others.push(note.clone()),
        }
    }
    let mut lines: Vec<Line> = passes
        .iter()
        .filter_map(|((line, pass), members)| line_of(maker, *line, *pass, members, notes))
        .collect();
    lines.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    (lines, others)
}

fn line_of(
    maker: &Maker<'_>,
    line: usize,
    pass: usize,
    members: &[usize],
    notes: &[Note],
) -> Option<Line> {
    let asked = maker.given.expected.lines.get(line)?;
    let heard = &maker.given.heard.notes;
    let from_s = notes.get(*members.first()?)?.from_s;
    let to_s = notes.get(*members.last()?)?.to_s;
    let mut at_s = from_s;
    let mut ordered = Vec::new();
    for (n, note) in asked.notes.iter().enumerate() {
        let is_it = |i: &&usize| {
            heard
                .get(**i)
                .and_then(|h| h.place)
                .is_some_and(|p| p.note == n)
        };
        let found: Vec<&usize> = members.iter().filter(is_it).collect();
        if found.is_empty() {
            ordered.push(maker.missing(note, at_s));
        }
        for i in found {
            if let Some(note) = notes.get(*i) {
                at_s = note.to_s;
                ordered.push(note.clone());
            }
        }
    }
    let slurs = maker
        .given
        .heard
        .slurs
        .iter()
        .filter(|s| members.contains(&s.from) && members.contains(&s.to))
        .filter_map(|s| slur(s, notes))
        .collect();
    Some(Line {
        id: asked.id.clone(),
        label: asked.label.clone(),
        exercise: asked.exercise.clone(),
        pass,
        from_s,
        to_s,
        measures: line_measures(&ordered, &asked.notes),
        notes: ordered,
        slurs,
        curve: curve(maker, from_s, to_s),
    })
}

fn curve(maker: &Maker<'_>, from_s: f64, to_s: f64) -> Curve {
    let from_s = (from_s - CURVE_EDGE_S).max(0.0);
    let to_s = (to_s + CURVE_EDGE_S).min(maker.given.heard.seconds);
    let count = ((to_s - from_s) / CURVE_STEP_S).max(0.0) as usize;
    let round = |x: f64| ((x * 1_000.0).round() / 1_000.0) as f32;
    let mut curve = Curve {
        from_s,
        step_s: CURVE_STEP_S,
        ..Curve::default()
    };
    for i in 0..count {
        let frame = maker.given.heard.track.at(from_s + i as f64 * CURVE_STEP_S);
        let sounding = frame.filter(|f| f.sounds());
        curve.midi.push(sounding.map(|f| round(maker.midi(f.hz))));
        curve
            .level_db
            .push(frame.map_or(-120.0, |f| (f.level_db * 10.0).round() / 10.0));
    }
    curve
}

fn slur(slur: &HeardSlur, notes: &[Note]) -> Option<Slur> {
    let (from, to) = (notes.get(slur.from)?, notes.get(slur.to)?);
    Some(Slur {
        from: from.id.clone(),
        to: to.id.clone(),
        names: (from.name.clone(), to.name.clone()),
        from_s: slur.left_s,
        to_s: slur.entered_s,
        slur_ms: slur.slur_ms,
        dip_db: slur.dip_db,
        overshoot_cents: slur.overshoot_cents,
        caught: slur.caught.iter().map(caught).collect(),
    })
}

fn caught(caught: &Caught) -> OtherPartial {
    OtherPartial {
        tube: TubePartial {
            partial: caught.partial,
            hz: caught.hz,
        },
        held_ms: caught.held_ms,
        from_s: caught.from_s,
        confidence: caught.confidence,
    }
}

fn line_measures(notes: &[Note], asked: &[ExpectedNote]) -> LineMeasures {
    let good = || notes.iter().filter(|n| n.outcome == Outcome::AsAsked);
    let against_pitch = |of: &dyn Fn(&NoteMeasures) -> Option<f64>| -> Vec<(f64, f64)> {
        good()
            .filter_map(|n| Some((n.heard_hz?.log2(), of(&n.measures)?)))
            .collect()
    };
    let levels = against_pitch(&|m| m.level_db.value());
    let brightness = against_pitch(&|m| m.brightness.value().map(f64::log2));
    let (level_spread_db, level_trend_db) = evenness::measure(&levels);
    let (brightness_spread, _) = evenness::measure(&brightness);
    let pitches: Vec<Measure> = good().map(|n| n.measures.pitch_cents).collect();
    let (pitch_cents, spread_cents) = centre(&pitches);
    LineMeasures {
        pitch_cents,
        spread_cents,
        level_spread_db,
        level_trend_db,
        brightness_spread,
        tempo: tempo(notes, asked),
    }
}

/// Nominal time over played time, from the onsets of the notes that were found.
fn tempo(notes: &[Note], asked: &[ExpectedNote]) -> Measure {
    let nominal: HashMap<&str, f64> = asked.iter().map(|a| (a.id.as_str(), a.start_s)).collect();
    let points: Vec<(f64, f64)> = notes
        .iter()
        .filter(|n| n.outcome == Outcome::AsAsked)
        .filter_map(|n| Some((*nominal.get(n.id.as_str())?, n.from_s)))
        .collect();
    let Some((slope, at_zero)) = stats::trend(&points).filter(|t| points.len() >= 4 && t.0 > 0.0)
    else {
        return Measure::unknown(WhyNot::TooFew);
    };
    let off: Vec<f64> = points
        .iter()
        .map(|(x, y)| y - at_zero - slope * x)
        .collect();
    let xs: Vec<f64> = points.iter().map(|p| p.0).collect();
    let reach = stats::deviation(&xs).unwrap_or(1.0) * (points.len() as f64).sqrt();
    let uncertainty = stats::deviation(&off).unwrap_or(0.0) / reach.max(1e-6);
    Measure::known(1.0 / slope, (uncertainty / slope.powi(2)).max(1e-4))
}
