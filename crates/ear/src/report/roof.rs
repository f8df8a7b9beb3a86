//! The same top note in every line that reaches it.

use std::collections::BTreeMap;

use super::shape::{Line, Note, Outcome, RoofNote, SameRoof};
use super::summary::centre;
use crate::measure::{Envelope, same_roof, stats};
use crate::{Expected, Measure, WhyNot};

/// Gathers the roofs that at least two lines reach.
pub(super) fn compare(lines: &[Line], expected: &Expected) -> Vec<SameRoof> {
    let mut roofs: BTreeMap<i32, Vec<(&Line, &Note)>> = BTreeMap::new();
    for line in lines {
        let asked = expected.lines.iter().find(|l| l.id == line.id);
        let Some(top) = asked.and_then(|l| l.notes.iter().map(|n| n.midi).max()) else {
            continue;
        };
        let reached = line
            .notes
            .iter()
            .find(|n| n.asked_midi == Some(top) && n.outcome == Outcome::AsAsked);
        if let Some(note) = reached {
            roofs.entry(top).or_default().push((line, note));
        }
    }
    roofs
        .into_iter()
        .filter(|(_, times)| times.len() >= 2)
        .map(|(midi, times)| roof(midi, &times))
        .collect()
}

fn roof(midi: i32, times: &[(&Line, &Note)]) -> SameRoof {
    let envelopes: Vec<Envelope> = times.iter().map(|(_, note)| envelope(note)).collect();
    let all: Vec<&Envelope> = envelopes.iter().collect();
    let mean = same_roof::mean(&all);
    let lowest = |line: &Line| line.notes.iter().filter_map(|n| n.asked_midi).min();
    let notes: Vec<RoofNote> = times
        .iter()
        .zip(&envelopes)
        .map(|((line, note), envelope)| RoofNote {
            line: line.label.clone(),
            note: note.id.clone(),
            at_s: note.from_s,
            below: lowest(line).map_or(0, |low| midi - low),
            level_db: note.measures.level_db,
            pitch_cents: note.measures.pitch_cents,
            attack_ms: note.measures.attack_ms,
            sound_db: same_roof::distance(envelope, &mean),
            envelope: envelope.clone(),
        })
        .collect();
    let spread = |of: &dyn Fn(&RoofNote) -> Measure| {
        let measures: Vec<Measure> = notes.iter().map(of).collect();
        centre(&measures).1
    };
    let distances: Vec<f64> = notes.iter().filter_map(|n| n.sound_db.value()).collect();
    let sound_spread_db = match stats::mean(&distances) {
        Some(value) if distances.len() >= 2 => Measure::known(
            value,
            stats::deviation(&distances).unwrap_or(0.0) / (distances.len() as f64).sqrt(),
        ),
        _ => Measure::unknown(WhyNot::TooFew),
    };
    SameRoof {
        name: times
            .first()
            .map(|(_, n)| n.name.clone())
            .unwrap_or_default(),
        midi,
        level_spread_db: spread(&|n| n.level_db),
        pitch_spread_cents: spread(&|n| n.pitch_cents),
        sound_spread_db,
        times: notes,
    }
}

fn envelope(note: &Note) -> Envelope {
    let levels: Vec<Option<f64>> = note
        .measures
        .partials_db
        .iter()
        .map(|m| m.value())
        .collect();
    let heard: Vec<f64> = levels.iter().flatten().copied().collect();
    let mean = stats::mean(&heard).unwrap_or(0.0);
    Envelope(levels.iter().map(|l| l.map(|l| l - mean)).collect())
}
