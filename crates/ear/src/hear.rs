//! The whole way of a take: analysis, track, notes, slurs.

use crate::analysis::Analysis;
use crate::expected::Expected;
use crate::heard::Heard;
use crate::pitch::{Fine, smooth::smooth};
use crate::slur::hall::Field;
use crate::slur::{lingers, slurs};
use crate::{Measure, Samples, free, room, scored, thresholds as t, verdict};

/// What the listener is told beside the score.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Settings {}

/// Hears a take: against what was to be played when that is known, freely when it is not.
///
/// Never fails: what can't be heard is simply not there, and what can't be measured says why.
#[must_use]
pub fn hear(samples: &Samples, expected: Option<&Expected>, _settings: &Settings) -> Heard {
    let mut analysis = Analysis::new(samples);
    let mut heard = notes(&analysis, expected, None);
    let mut hall = None;
    if echoes(heard.reverb_s) || lingers(&analysis, expected, &heard.notes) {
        let first = heard.reverb_s.value();
        analysis = analysis.with_echo_held(t::ECHO_HELD_S);
        heard = notes(&analysis, expected, Some(field(first)));
        hall = Some(field(heard.reverb_s.value().or(first)));
    }
    // The notes' centres are medians of the single fits; every moment's own pitch leans on its
    // neighbours.
    smooth(&Fine::new(analysis.sound.rate), &mut heard.track.frames);
    heard.slurs = slurs(&analysis, expected, &heard.track, &mut heard.notes, hall);
    heard.seconds = samples.seconds();
    heard.agreement = expected
        .filter(|expected| expected.count() > 0)
        .map(|expected| verdict::agreement(expected, &heard));
    heard
}

/// True when the room's echo may well last so long that it is better held: half a standard uncertainty
/// longer than told. Few short decays told 0.68 ± 0.29 s of a hall of 1.2 (seed 101).
fn echoes(reverb_s: Measure) -> bool {
    match reverb_s {
        Measure::Known { value, uncertainty } => value + 0.5 * uncertainty > t::ECHO_HELD_FROM_S,
        Measure::Unknown { .. } => false,
    }
}

/// A hall of a reverberation time, if that is known, seconds.
fn field(rt60_s: Option<f64>) -> Field {
    Field {
        share: t::HALL_SHARE,
        rt60_s: rt60_s.map_or(t::HALL_RT60_S, |told| told.max(t::HALL_RT60_LEAST_S)),
    }
}

/// Track, notes and room of an analysis, which may be one of a hall.
fn notes(analysis: &Analysis, expected: Option<&Expected>, hall: Option<Field>) -> Heard {
    let (mut track, mut notes) = match expected {
        Some(expected) if expected.count() > 0 => scored::hear(analysis, expected, hall),
        _ => free::hear(analysis),
    };
    room::stops(analysis, &mut track, &mut notes);
    let mut heard = Heard {
        seconds: analysis.sound.seconds(),
        track,
        notes,
        noise_db: analysis.noise_db,
        echo_held: analysis.echo_held,
        ..Heard::default()
    };
    heard.reverb_s = room::reverb(&heard, |from, to| analysis.levels.db(from, to));
    heard
}
