//! The whole way of a take: analysis, track, notes, slurs.

use crate::analysis::Analysis;
use crate::expected::Expected;
use crate::heard::Heard;
use crate::slur::slurs;
use crate::{Samples, free, room, scored, verdict};

/// What the listener is told beside the score.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Settings {}

/// Hears a take: against what was to be played when that is known, freely when it is not.
///
/// Never fails: what can't be heard is simply not there, and what can't be measured says why.
#[must_use]
pub fn hear(samples: &Samples, expected: Option<&Expected>, _settings: &Settings) -> Heard {
    let analysis = Analysis::new(samples);
    let (track, mut notes) = match expected {
        Some(expected) if expected.count() > 0 => scored::hear(&analysis, expected),
        _ => free::hear(&analysis),
    };
    let slurs = slurs(&analysis, expected, &track, &mut notes);
    let mut heard = Heard {
        seconds: samples.seconds(),
        track,
        notes,
        slurs,
        noise_db: analysis.noise_db,
        ..Heard::default()
    };
    heard.reverb_s = room::reverb(&heard, |from, to| analysis.levels.db(from, to));
    heard.agreement = expected
        .filter(|expected| expected.count() > 0)
        .map(|expected| verdict::agreement(expected, &heard));
    heard
}
