//! How a take sounds by itself: blown and held, spoken, struck, or several at once.

use super::{Ground, VerdictKind};
use crate::Heard;
use crate::measure::{Take, lines, stats, tone};

/// Frames within this of their run's middle hold still, cents.
const STILL_CENTS: f64 = 35.0;
/// For at least this long, seconds.
const STILL_S: f64 = 0.12;
/// Below this share the pitch glides like speech.
const SPEECH: f64 = 0.45;
/// A struck sound falls faster than this, dB a second ...
const STRUCK_DB_S: f64 = -9.0;
/// ... in this share of the notes that last long enough to tell.
const STRUCK_SHARE: f64 = 0.75;
/// Shortest note that tells how its level goes, seconds.
const TELLS_S: f64 = 0.3;
/// Power between the harmonics above this is another player's, dB against the harmonics ...
const STRAY_DB: f64 = -12.0;
/// ... in this share of the notes: two recorded takes laid over each other leave it in 40 % and more
/// (often the one rests or plays a partial of the other), slurs in a simulated hall in 12 to 17 %
/// (seeds 11 and 12), one recorded player in none.
const STRAY_SHARE: f64 = 0.3;

/// The character of a take.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Character {
    pub(super) pitched: f64,
    pub(super) steady: f64,
    struck: f64,
    slope_db_s: f64,
    stray: f64,
    told: usize,
}

/// Takes the figures.
pub(super) fn of(take: &Take<'_>, heard: &Heard) -> Character {
    let (pitched, steady) = stillness(heard);
    let slopes: Vec<f64> = heard
        .notes
        .iter()
        .filter_map(|note| {
            // The first 60 ms are the attack, the last tenth the release.
            let from = note.onset_s + 0.06;
            let to = note.offset_s - 0.1 * (note.offset_s - note.onset_s);
            (to - from >= TELLS_S).then_some(())?;
            let levels = take.k.levels(from, to, 0.05).enumerate();
            let points: Vec<(f64, f64)> = levels.map(|(i, l)| (0.05 * i as f64, l)).collect();
            stats::trend(&points).map(|t| t.0)
        })
        .collect();
    let falling = slopes.iter().filter(|s| **s < STRUCK_DB_S).count();
    let of_free;
    let lines = if std::ptr::eq(heard, take.heard) {
        &take.lines
    } else {
        of_free = lines::lines(take.samples, heard, take.clipped);
        &of_free
    };
    let strays: Vec<f64> = lines.iter().filter_map(tone::stray_db).collect();
    let stray = strays.iter().filter(|s| **s > STRAY_DB).count();
    Character {
        pitched,
        steady,
        struck: falling as f64 / slopes.len().max(1) as f64,
        slope_db_s: stats::median(&slopes).unwrap_or(0.0),
        stray: stray as f64 / strays.len().max(1) as f64,
        told: slopes.len(),
    }
}

/// Share of the loud frames with a pitch, and share of these in runs that hold still.
fn stillness(heard: &Heard) -> (f64, f64) {
    let frames = &heard.track.frames;
    let top = frames.iter().map(|f| f.level_db).fold(f32::MIN, f32::max);
    let loud = frames.iter().filter(|f| f.level_db > top - 25.0).count();
    let sounding = frames
        .iter()
        .filter(|f| f.sounds() && f.level_db > top - 25.0)
        .count();
    let all = frames.iter().filter(|f| f.sounds()).count();
    let fewest = (STILL_S / heard.track.step_s.max(1e-4)).ceil() as usize;
    let mut still = 0;
    let mut run: Vec<f64> = Vec::new();
    for frame in frames {
        let pitch = frame.sounds().then(|| 1200.0 * frame.hz.log2());
        let stays = match (pitch, run.first(), stats::mean(&run)) {
            (Some(p), Some(first), Some(mean)) => {
                (p - mean).abs() < STILL_CENTS && (p - first).abs() < 2.0 * STILL_CENTS
            }
            _ => false,
        };
        if !stays {
            still += if run.len() >= fewest { run.len() } else { 0 };
            run.clear();
        }
        run.extend(pitch);
    }
    still += if run.len() >= fewest { run.len() } else { 0 };
    (
        sounding as f64 / loud.max(1) as f64,
        still as f64 / all.max(1) as f64,
    )
}

impl Character {
    /// What else it is, when it is no held and blown sound.
    pub(super) fn other_than_brass(&self) -> Option<(VerdictKind, &'static str)> {
        if self.steady < SPEECH {
            return Some((
                VerdictKind::Speech,
                "The pitch glides and hardly ever holds, as in speech: record the playing \
                 without talking over it.",
            ));
        }
        (self.told >= 3 && self.struck >= STRUCK_SHARE).then_some((
            VerdictKind::Struck,
            "Every note dies away from its start, as on a piano or a plucked string: this is not \
             a blown instrument, and the measures for one don't hold.",
        ))
    }

    /// True when more than one player sounds.
    pub(super) fn several(&self) -> bool {
        self.stray >= STRAY_SHARE
    }

    /// The figures.
    pub(super) fn grounds(&self) -> Vec<Ground> {
        let ground = |what: &str, value: f64, unit: &str| Ground {
            what: what.into(),
            value,
            unit: unit.into(),
        };
        vec![
            ground("slope of the level in held notes", self.slope_db_s, "dB/s"),
            ground("share of notes that die away", self.struck, ""),
            ground(
                "share of notes with another pitch beside them",
                self.stray,
                "",
            ),
        ]
    }
}
