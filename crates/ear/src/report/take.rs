//! What holds for a take as a whole.

use super::shape::{Outcome, Report, TakeMeasures};
use super::summary::{centre, typical};
use crate::level::Calibration;
use crate::measure::Take;
use crate::{Measure, WhyNot};

/// Counts, typical values and levels over all notes of a report.
pub(super) fn measures(
    report: &Report,
    take: &Take<'_>,
    calibration: Option<Calibration>,
) -> TakeMeasures {
    let all = || report.lines.iter().flat_map(|line| &line.notes);
    let count = |outcome: Outcome| all().filter(|n| n.outcome == outcome).count();
    let sounding = || {
        let asked = all().filter(|n| n.outcome != Outcome::Missing);
        asked.chain(&report.other_notes)
    };
    let good = || all().filter(|n| n.outcome == Outcome::AsAsked);
    let slurs = || report.lines.iter().flat_map(|line| &line.slurs);
    let pitches: Vec<Measure> = good().map(|n| n.measures.pitch_cents).collect();
    let (pitch_cents, spread_cents) = centre(&pitches);
    // Mean power of all that sounds, so that a level is that of playing, not of rests.
    let power = |weighted: &crate::level::Weighted| {
        let (mut energy, mut seconds) = (0.0, 0.0);
        for note in sounding() {
            if let Some(level) = weighted.level_db(note.from_s, note.to_s) {
                energy += (note.to_s - note.from_s) * 10.0_f64.powf(level / 10.0);
                seconds += note.to_s - note.from_s;
            }
        }
        (seconds > 0.0).then(|| 10.0 * (energy / seconds).max(1e-20).log10())
    };
    let playing_s = sounding().map(|n| (n.to_s - n.from_s).max(0.0)).sum();
    let none = Measure::unknown(WhyNot::TooFew);
    TakeMeasures {
        seconds: take.heard.seconds,
        playing_s,
        asked: all().filter(|n| n.outcome != Outcome::Extra).count(),
        as_asked: count(Outcome::AsAsked),
        wrong: count(Outcome::Wrong) + count(Outcome::OtherPartial),
        missing: count(Outcome::Missing),
        extra: count(Outcome::Extra) + report.other_notes.len(),
        slurs: slurs().count(),
        slurs_caught: slurs().filter(|s| !s.caught.is_empty()).count(),
        pitch_cents,
        spread_cents,
        wander_cents: typical(sounding().map(|n| n.measures.wander_cents)),
        slur_ms: typical(slurs().map(|s| s.slur_ms)),
        attack_ms: typical(sounding().map(|n| n.measures.attack_ms)),
        level_db: power(&take.k).map_or(none, |level| Measure::known(level, 0.1)),
        level_dba: power(&take.a).map_or(none, |level| Calibration::dba(calibration, level, 0.1)),
    }
}
