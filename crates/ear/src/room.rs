//! The room, the noise in it and the microphone: how much of what was heard can be trusted.

mod echo;
mod microphone;
mod stop;

pub(crate) use echo::reverb;
pub(crate) use stop::stops;

use serde::{Deserialize, Serialize};

use crate::level::{Calibration, Weighted, quiet};
use crate::measure::Take;
use crate::{Measure, WhyNot};

/// What is known of the room and the microphone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Room {
    /// Noise where nobody plays, dB against full scale, A-weighted.
    pub noise_db: Measure,
    /// The same in dB(A) SPL, when calibrated.
    pub noise_dba: Measure,
    /// How far the playing stands above the noise, dB.
    pub above_noise_db: Measure,
    /// Reverberation time from the decays between notes, seconds.
    pub reverb_s: Measure,
    /// Whether slurs can be judged in this room.
    pub slurs: SlurTrust,
    /// The microphone and what stands behind it.
    pub microphone: Microphone,
    /// The level calibration used.
    pub calibration: Option<Calibration>,
    /// All of it in plain words, a sentence each.
    pub words: Vec<String>,
}

/// Whether slurs can be judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlurTrust {
    /// Dry enough: slur times and caught partials hold.
    Good,
    /// Caught partials may be missed; slur times are less sure.
    Fair,
    /// Too much echo: slurs are not judged.
    Poor,
    /// The take has no decays to tell by.
    #[default]
    Unknown,
}

/// The microphone check.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Microphone {
    /// Highest frequency that carries sound, hertz.
    pub top_hz: Measure,
    /// Lowest frequency that carries sound as it should, hertz.
    pub bottom_hz: Measure,
    /// How far the noise rises after a note stops, dB: an automatic gain turns itself up.
    pub pumping_db: Measure,
    /// True when noise is cut to digital silence between notes: a noise gate.
    pub gated: bool,
}

/// A room whose echo falls 60 dB within this is good for judging slurs, seconds.
const GOOD_S: f64 = 0.6;
/// And above this slurs are not judged.
const FAIR_S: f64 = 1.3;
/// Playing should stand this far above the noise for measures of tone, dB.
const CLEAR_DB: f64 = 30.0;

/// Checks the room and the microphone by a take.
#[must_use]
pub fn check(take: &Take<'_>, calibration: Option<Calibration>) -> Room {
    let quiet = quiet::spectrum(take.samples);
    let few = Measure::unknown(WhyNot::TooFew);
    let noise_db = quiet.as_ref().map_or(few, |q| {
        Measure::known(
            q.a_weighted_db(),
            (q.spread_db / (q.count as f64).sqrt()).max(0.2),
        )
    });
    let above_noise_db = quiet.as_ref().map_or(few, |q| {
        Measure::known(q.playing_db - q.level_db, q.spread_db.max(0.5))
    });
    let noise_dba = match noise_db {
        Measure::Known { value, uncertainty } => Calibration::dba(calibration, value, uncertainty),
        unknown @ Measure::Unknown { .. } => unknown,
    };
    let level = |from, to| take.k.level_db(from, to).unwrap_or(f64::NEG_INFINITY);
    let reverb_s = match take.heard.reverb_s {
        known @ Measure::Known { .. } => known,
        Measure::Unknown { .. } => reverb(take.heard, level),
    };
    let mut room = Room {
        noise_db,
        noise_dba,
        above_noise_db,
        reverb_s,
        slurs: trust(reverb_s),
        microphone: microphone::check(take, quiet.as_ref()),
        calibration,
        words: Vec::new(),
    };
    room.words = words(&room);
    room
}

/// What an echo means for slurs. The limits lie beside the two simulated rooms (RT 0.5 and 1.2 s).
fn trust(reverb_s: Measure) -> SlurTrust {
    match reverb_s.value() {
        Some(s) if s <= GOOD_S => SlurTrust::Good,
        Some(s) if s <= FAIR_S => SlurTrust::Fair,
        Some(_) => SlurTrust::Poor,
        None => SlurTrust::Unknown,
    }
}

fn words(room: &Room) -> Vec<String> {
    let mut words = Vec::new();
    let with = |m: Measure| match m {
        Measure::Known { value, uncertainty } => format!("{value:.1} ± {:.1}", 1.96 * uncertainty),
        Measure::Unknown { why } => why.to_string(),
    };
    if let Some(above) = room.above_noise_db.value() {
        let verdict = if above >= CLEAR_DB {
            "quiet enough for every measure"
        } else {
            "too near for measures of tone: move nearer to the microphone or find a quieter room"
        };
        words.push(format!(
            "The playing stands {above:.0} dB above the noise: {verdict}."
        ));
    }
    words.push(match room.slurs {
        SlurTrust::Good => format!(
            "The echo dies away in {} s: good enough to judge slurs.",
            with(room.reverb_s)
        ),
        SlurTrust::Fair => format!(
            "The echo dies away in {} s: slur times hold, but a caught partial may be missed. \
             Nearer to the microphone is better.",
            with(room.reverb_s)
        ),
        SlurTrust::Poor => format!(
            "The echo takes {} s to die away: too long to judge slurs. Go nearer to the \
             microphone, or to a room with curtains.",
            with(room.reverb_s)
        ),
        SlurTrust::Unknown => "No note stops with time enough after it, so the echo can't be \
                               told: leave a rest after a short loud note once."
            .into(),
    });
    if room.microphone.gated {
        words.push(
            "The microphone is cut off between notes: switch off noise suppression, or attacks \
             and releases are not what you played."
                .into(),
        );
    }
    if let Measure::Known { value, uncertainty } = room.microphone.pumping_db
        && value - 1.96 * uncertainty > microphone::PUMPS_DB
    {
        words.push(format!(
            "The noise rises by {} dB after a note stops: switch off automatic gain, or levels \
             are not what you played.",
            with(room.microphone.pumping_db)
        ));
    }
    if room
        .microphone
        .top_hz
        .value()
        .is_some_and(|hz| hz < microphone::NARROW_HZ)
    {
        words.push(
            "Nothing is heard above 7 kHz: a telephone or headset connection. Pitch holds; \
             brightness does not compare with other takes."
                .into(),
        );
    }
    words
}

/// The delay of a loopback: where a known click train lies in what was recorded, by
/// cross-correlation, with its spread. Feed the click that was sent and what came back.
#[must_use]
pub fn latency(sent: &crate::Samples, came_back: &crate::Samples) -> Measure {
    echo::latency(sent, came_back)
}

/// A-weighted level of a stretch of background, for the noise check before playing: dB against
/// full scale, with the spread of its quarter seconds.
#[must_use]
pub fn noise_floor(samples: &crate::Samples) -> Measure {
    let weighted = Weighted::a(samples);
    let levels: Vec<f64> = weighted.levels(0.25, samples.seconds(), 0.25).collect();
    let (Some(level), true) = (
        weighted.level_db(0.25, samples.seconds()),
        levels.len() >= 4,
    ) else {
        return Measure::unknown(WhyNot::TooShort);
    };
    let spread = crate::measure::stats::deviation(&levels).unwrap_or(0.0);
    Measure::known(level, (spread / (levels.len() as f64).sqrt()).max(0.1))
}
