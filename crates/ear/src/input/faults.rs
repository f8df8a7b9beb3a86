//! What is wrong with a recording, as data: kind, figures, places and what to do.

use serde::{Deserialize, Serialize};

use super::clipping::Clipped;
use super::{Source, hum};
use crate::Samples;

/// A peak below this is called near-silent, dB against full scale: 14 dB above the dither of a
/// 16-bit recording, too near it to judge a tone.
const NEAR_SILENT_DB: f64 = -60.0;
/// A mean above this share of full scale is reported (it is taken away in any case).
const OFFSET: f64 = 0.01;
/// Most places that one fault lists.
const MOST_PLACES: usize = 50;
/// Clipping below this share of the samples is a remark, above it harms the measures of tone.
const CLIPPED_HARMS: f64 = 1e-4;

/// Something wrong with a recording.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// What.
    #[serde(flatten)]
    pub kind: FaultKind,
    /// The same in words, with what to do.
    pub words: String,
    /// True when measures are harmed by it.
    pub harms: bool,
    /// Where, seconds from-to; at most 50 places; empty when it is everywhere.
    pub places: Vec<(f64, f64)>,
}

/// The kinds of fault.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum FaultKind {
    /// The microphone or recorder was overloaded.
    Clipped {
        /// Share of the samples that stand at the ceiling.
        share: f64,
    },
    /// Mains hum.
    Hum {
        /// 50 or 60.
        mains_hz: f64,
        /// Level of all its lines together, dB against full scale.
        level_db: f64,
    },
    /// The sound is missing for moments.
    Dropouts {
        /// How many.
        count: usize,
        /// The longest, milliseconds.
        longest_ms: f64,
    },
    /// Hardly any sound.
    NearSilent {
        /// Highest sample, dB against full scale.
        peak_db: f64,
    },
    /// A constant was added to the sound (taken away before measuring).
    Offset {
        /// Share of full scale.
        dc: f64,
    },
    /// The file and the sender disagree on the rate.
    RateDiffers {
        /// What the sender says.
        said: u32,
        /// What the file says.
        file: u32,
    },
    /// The file ends before it says it does.
    CutShort {
        /// How much is missing, seconds.
        missing_s: f64,
    },
    /// Parts of the file could not be decoded; silence stands there.
    Damaged {
        /// How many.
        count: usize,
    },
    /// Some samples were no numbers; zeros stand there.
    NotNumbers {
        /// How many.
        count: u64,
    },
}

/// What the decoding loop noticed.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) clipped: Clipped,
    pub(super) dropouts: Vec<(f64, f64)>,
    pub(super) damaged: Vec<(f64, f64)>,
    pub(super) not_numbers: u64,
    pub(super) missing_s: Option<f64>,
    pub(super) said_rate: Option<u32>,
}

/// All faults of a take, those that harm first.
pub(super) fn report(found: &Found, source: &Source, samples: &Samples) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut add = |kind, harms, words: String, places: &[(f64, f64)]| {
        let places = places.iter().take(MOST_PLACES).copied().collect();
        faults.push(Fault {
            kind,
            words,
            harms,
            places,
        });
    };
    if source.peak_db < NEAR_SILENT_DB {
        let peak_db = source.peak_db;
        let words = if peak_db <= -190.0 {
            "The recording is silent: check that the right microphone is chosen and not muted."
                .into()
        } else {
            format!(
                "There is hardly any sound: it peaks {:.0} dB below full scale. Turn the \
                 microphone up or go nearer.",
                -peak_db
            )
        };
        add(FaultKind::NearSilent { peak_db }, true, words, &[]);
    }
    if !found.damaged.is_empty() {
        let count = found.damaged.len();
        let words = format!(
            "The file is damaged in {count} place{}: silence stands there. Copy it again from \
             where it was recorded.",
            plural(count)
        );
        add(FaultKind::Damaged { count }, true, words, &found.damaged);
    }
    if let Some(missing_s) = found.missing_s {
        let words = format!(
            "The file ends {missing_s:.1} s before it says it does: it was not copied or not \
             saved to its end."
        );
        add(
            FaultKind::CutShort { missing_s },
            true,
            words,
            &[(source.seconds, source.seconds)],
        );
    }
    if let Some(said) = found.said_rate {
        let file = source.rate;
        let cents = 1200.0 * (f64::from(said) / f64::from(file)).log2();
        let words = format!(
            "The sender says {said} samples a second, the file says {file}. The file is believed; \
             if it is wrong, every pitch is {:.0} cents {} than it was.",
            cents.abs(),
            if cents > 0.0 { "lower" } else { "higher" }
        );
        add(FaultKind::RateDiffers { said, file }, true, words, &[]);
    }
    if found.not_numbers > 0 {
        let count = found.not_numbers;
        let words = format!(
            "{count} sample{} were no numbers: zeros stand there. The program that wrote the file \
             is at fault.",
            plural(count as usize)
        );
        add(FaultKind::NotNumbers { count }, true, words, &[]);
    }
    if !found.clipped.stretches.is_empty() {
        let share = found.clipped.share;
        let count = found.clipped.stretches.len();
        let words = format!(
            "The recording is overloaded in {count} place{} ({:.2} % of the samples): turn the \
             microphone down or go further away.",
            plural(count),
            100.0 * share
        );
        let harms = share > CLIPPED_HARMS;
        add(
            FaultKind::Clipped { share },
            harms,
            words,
            &found.clipped.stretches,
        );
    }
    if !found.dropouts.is_empty() {
        let count = found.dropouts.len();
        let longest_ms = found
            .dropouts
            .iter()
            .fold(0.0, |l: f64, (a, b)| l.max(b - a))
            * 1_000.0;
        let words = format!(
            "The sound is missing {count} time{} for up to {longest_ms:.0} ms: close other \
             programs, or use a cable instead of a wireless microphone.",
            plural(count)
        );
        add(
            FaultKind::Dropouts { count, longest_ms },
            true,
            words,
            &found.dropouts,
        );
    }
    if let Some(hum) = hum::find(samples) {
        let words = format!(
            "The mains hums at {:.0} Hz ({:.0} dB below full scale): move the cable or the power \
             supply. Notes are measured over it.",
            hum.mains_hz, -hum.level_db
        );
        let kind = FaultKind::Hum {
            mains_hz: hum.mains_hz,
            level_db: hum.level_db,
        };
        add(kind, hum.below_playing_db < 40.0, words, &[]);
    }
    if source.dc.abs() > OFFSET {
        let dc = source.dc;
        let words = format!(
            "The recorder adds a constant of {:.1} % of full scale; it was taken away.",
            100.0 * dc
        );
        add(FaultKind::Offset { dc }, false, words, &[]);
    }
    faults.sort_by_key(|fault| !fault.harms);
    faults
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}
