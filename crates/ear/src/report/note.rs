//! The notes of a report: heard ones with their measures, and those that were not played.

use std::collections::HashMap;

use routine::Part;
use tone::Pitch;

use super::build::Given;
use super::shape::{Note, NoteMeasures, Outcome};
use crate::measure::{View, attack, level, pitch, release, tone as sound, vibrato, wander};
use crate::{ExpectedNote, Match, Measure, WhyNot};

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

/// Makes the notes of one report.
pub(super) struct Maker<'a> {
    pub(super) given: &'a Given<'a>,
    names: Names,
}

impl<'a> Maker<'a> {
    pub(super) fn new(given: &'a Given<'a>) -> Self {
        Self {
            given,
            names: Names::of(given.part),
        }
    }

    fn samples(&self, from_s: f64, to_s: f64) -> (u64, u64) {
        let at = |s: f64| (s.max(0.0) * self.given.samples.rate).round() as u64;
        (at(from_s), at(to_s))
    }

    /// A frequency on the MIDI scale of the take's tuning, with its fraction.
    pub(super) fn midi(&self, hz: f64) -> f64 {
        69.0 + 12.0 * (hz / self.given.tuning.a4.0).log2()
    }

    /// A note that was heard.
    pub(super) fn note(&self, view: &View<'_>) -> Note {
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

    /// A note that was asked for and not played, at the moment where it was due.
    pub(super) fn missing(&self, asked: &ExpectedNote, at_s: f64) -> Note {
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
}
