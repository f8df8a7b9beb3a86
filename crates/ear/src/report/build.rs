//! From what was heard to the report: every measure made, every line put in order.

use std::collections::{BTreeMap, HashMap};

use routine::Part;
use tone::{Pitch, Tuning};

use super::roof;
use super::shape::{
    Curve, Heading, Line, LineMeasures, Note, NoteMeasures, OtherPartial, Outcome, Report, SHAPE,
    Slur, TakeMeasures,
};
use super::summary::{centre, typical};
use crate::input::{Fault, FaultKind, Source};
use crate::level::Calibration;
use crate::measure::{
    Against, Take, View, attack, evenness, level, pitch, release, stats, tone as sound, vibrato,
    wander,
};
use crate::{
    Caught, Expected, Heard, HeardSlur, Match, Measure, Samples, TubePartial, WhyNot, findings,
    room, verdict,
};

/// Seconds between the values of a curve.
const CURVE_STEP_S: f64 = 0.01;
/// A curve reaches this far before and after its line, seconds.
const CURVE_EDGE_S: f64 = 0.15;

/// All that a report is built from.
#[derive(Clone, Debug)]
pub struct Given<'a> {
    /// The sound.
    pub samples: &'a Samples,
    /// What the file was; `None` for a live take.
    pub source: Option<&'a Source>,
    /// What is wrong with the recording.
    pub faults: &'a [Fault],
    /// What was to be played; empty when nothing was asked for.
    pub expected: &'a Expected,
    /// What was heard.
    pub heard: &'a Heard,
    /// What is heard without the score: tells what a take is when it is not what was asked for.
    pub free: Option<&'a Heard>,
    /// The player's part, for written names and fingerings.
    pub part: Option<&'a Part>,
    /// Whose take, of what.
    pub heading: Heading,
    /// The tuning of the targets.
    pub tuning: Tuning,
    /// What pitch is measured against.
    pub against: Against,
    /// The level calibration.
    pub calibration: Option<Calibration>,
}

/// Measures everything and builds the report.
#[must_use]
pub fn build(given: &Given<'_>) -> Report {
    let clipped: Vec<(f64, f64)> = given
        .faults
        .iter()
        .filter(|fault| matches!(fault.kind, FaultKind::Clipped { .. }))
        .flat_map(|fault| fault.places.iter().copied())
        .collect();
    let take = Take::new(given.samples, given.expected, given.heard, &clipped);
    let names = Names::of(given.part);
    let builder = Builder {
        given,
        names: &names,
    };
    let notes: Vec<Note> = (0..given.heard.notes.len())
        .filter_map(|i| take.view(i))
        .map(|view| builder.note(&view))
        .collect();
    let (lines, other_notes) = builder.lines(&notes);
    let room = room::check(&take, given.calibration);
    let mut report = Report {
        shape: SHAPE,
        made_with: concat!("ear ", env!("CARGO_PKG_VERSION")).into(),
        heading: given.heading.clone(),
        tuning: given.tuning,
        against: given.against,
        source: given.source.cloned(),
        faults: given.faults.to_vec(),
        verdict: verdict::judge(&take, given.free),
        room,
        take: TakeMeasures::default(),
        same_roof: roof::compare(&lines, given.expected),
        lines,
        other_notes,
        findings: Vec::new(),
        cautions: given
            .part
            .map(|part| part.cautions.clone())
            .unwrap_or_default(),
    };
    report.take = whole(&report, &take, given.calibration);
    report.findings = findings::find(&report);
    report.cautions.extend(findings::cautions(&report));
    report
}

/// Written names and fingerings by note id.
struct Names(HashMap<String, (String, String)>);

impl Names {
    fn of(part: Option<&Part>) -> Self {
        let notes = part
            .into_iter()
            .flat_map(|p| p.lines.iter().flat_map(routine::part::Line::notes));
        let entry = |n: &routine::part::Note| {
            (
                n.id.clone(),
                (n.written.to_string(), n.fingering.label.clone()),
            )
        };
        Self(notes.map(entry).collect())
    }
}

struct Builder<'a> {
    given: &'a Given<'a>,
    names: &'a Names,
}

impl Builder<'_> {
    fn samples(&self, from_s: f64, to_s: f64) -> (u64, u64) {
        let at = |s: f64| (s.max(0.0) * self.given.samples.rate).round() as u64;
        (at(from_s), at(to_s))
    }

    fn midi(&self, hz: f64) -> f64 {
        69.0 + 12.0 * (hz / self.given.tuning.a4.0).log2()
    }

    fn note(&self, view: &View<'_>) -> Note {
        let heard = view.note;
        let asked = view.asked();
        let id = asked.map(|a| a.id.clone()).unwrap_or_default();
        let heard_midi = (heard.hz > 0.0).then(|| self.midi(heard.hz).round() as i32);
        let midi = asked.map(|a| a.midi).or(heard_midi);
        let known = self.names.0.get(&id);
        Note {
            name: midi
                .map(|m| Pitch::from_midi(m).to_string())
                .unwrap_or_default(),
            written: known.map(|k| k.0.clone()),
            fingering: known.map(|k| k.1.clone()),
            asked_midi: asked.map(|a| a.midi),
            asked_hz: asked.map(|a| a.hz),
            partial: asked.map_or(0, |a| a.partial),
            outcome: match heard.matched {
                _ if asked.is_none() => Outcome::Extra,
                Match::AsAsked => Outcome::AsAsked,
                Match::OtherPartial { .. } => Outcome::OtherPartial,
                Match::Wrong => Outcome::Wrong,
                Match::Extra => Outcome::Extra,
            },
            confidence: heard.confidence,
            heard_midi,
            heard_hz: (heard.hz > 0.0).then_some(heard.hz),
            from_s: heard.onset_s,
            to_s: heard.offset_s,
            samples: self.samples(heard.onset_s, heard.offset_s),
            slurred: heard.slurred,
            measures: self.measures(view),
            id,
        }
    }

    fn measures(&self, view: &View<'_>) -> NoteMeasures {
        let (vibrato_hz, vibrato_cents) = vibrato::measure(view);
        let tone = sound::measure(view);
        // The pitch of a wrong note says nothing about the one asked for.
        let pitch_cents = match view.note.matched {
            Match::AsAsked => pitch::measure(view, self.given.against),
            Match::Extra => self.to_nearest(view),
            _ => Measure::unknown(WhyNot::NoTarget),
        };
        NoteMeasures {
            pitch_cents,
            wander_cents: wander::measure(view),
            vibrato_hz,
            vibrato_cents,
            scoop_cents: attack::scoop(view),
            attack_ms: attack::attack(view),
            chipped: attack::chipped(view),
            release_ms: release::release(view),
            sag_cents: release::sag(view),
            level_db: level::k(view),
            level_dba: level::dba(view, self.given.calibration),
            brightness: tone.brightness,
            partials_db: tone.partials_db,
            noise_db: tone.noise_db,
        }
    }

    /// The pitch of a note that nothing was asked for against the nearest note of the tuning.
    fn to_nearest(&self, view: &View<'_>) -> Measure {
        let hz = view.note.hz;
        if hz <= 0.0 {
            return Measure::unknown(WhyNot::Unsettled);
        }
        let pitch = Pitch::from_midi(self.midi(hz).round() as i32);
        let nearest = self.given.tuning.frequency(tone::Sounding(pitch)).0;
        pitch::between(hz, nearest, view.note.cents_uncertainty)
    }

    /// Notes by line and pass, the missing ones put in; and those that belong to none.
    fn lines(&self, notes: &[Note]) -> (Vec<Line>, Vec<Note>) {
        let mut passes: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        let mut others = Vec::new();
        for (i, (heard, note)) in self.given.heard.notes.iter().zip(notes).enumerate() {
            match heard.place {
                Some(place) => passes.entry((place.line, place.pass)).or_default().push(i),
                None => others.push(note.clone()),
            }
        }
        let mut lines: Vec<Line> = passes
            .iter()
            .filter_map(|((line, pass), members)| self.line(*line, *pass, members, notes))
            .collect();
        lines.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
        (lines, others)
    }

    fn line(&self, line: usize, pass: usize, members: &[usize], notes: &[Note]) -> Option<Line> {
        let asked = self.given.expected.lines.get(line)?;
        let heard = &self.given.heard.notes;
        let mut all: Vec<Note> = members
            .iter()
            .filter_map(|i| notes.get(*i).cloned())
            .collect();
        let from_s = all.first()?.from_s;
        let to_s = all.last()?.to_s;
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
                ordered.push(self.missing(note, at_s));
            }
            for i in found {
                if let Some(note) = notes.get(*i) {
                    at_s = note.to_s;
                    ordered.push(note.clone());
                }
            }
        }
        std::mem::swap(&mut all, &mut ordered);
        let slurs = self
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
            measures: line_measures(&all, &asked.notes),
            notes: all,
            slurs,
            curve: self.curve(from_s, to_s),
        })
    }

    fn missing(&self, asked: &crate::ExpectedNote, at_s: f64) -> Note {
        let known = self.names.0.get(&asked.id);
        Note {
            id: asked.id.clone(),
            name: Pitch::from_midi(asked.midi).to_string(),
            written: known.map(|k| k.0.clone()),
            fingering: known.map(|k| k.1.clone()),
            asked_midi: Some(asked.midi),
            asked_hz: Some(asked.hz),
            partial: asked.partial,
            outcome: Outcome::Missing,
            from_s: at_s,
            to_s: at_s,
            samples: self.samples(at_s, at_s),
            slurred: asked.slurred,
            ..Note::default()
        }
    }

    fn curve(&self, from_s: f64, to_s: f64) -> Curve {
        let from_s = (from_s - CURVE_EDGE_S).max(0.0);
        let to_s = (to_s + CURVE_EDGE_S).min(self.given.heard.seconds);
        let count = ((to_s - from_s) / CURVE_STEP_S).max(0.0) as usize;
        let round = |x: f64| ((x * 1_000.0).round() / 1_000.0) as f32;
        let mut curve = Curve {
            from_s,
            step_s: CURVE_STEP_S,
            ..Curve::default()
        };
        for i in 0..count {
            let frame = self.given.heard.track.at(from_s + i as f64 * CURVE_STEP_S);
            let sounding = frame.filter(|f| f.sounds());
            curve.midi.push(sounding.map(|f| round(self.midi(f.hz))));
            curve
                .level_db
                .push(frame.map_or(-120.0, |f| (f.level_db * 10.0).round() / 10.0));
        }
        curve
    }
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

fn line_measures(notes: &[Note], asked: &[crate::ExpectedNote]) -> LineMeasures {
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
fn tempo(notes: &[Note], asked: &[crate::ExpectedNote]) -> Measure {
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

fn whole(report: &Report, take: &Take<'_>, calibration: Option<Calibration>) -> TakeMeasures {
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
