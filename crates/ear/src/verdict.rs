//! Whether a take is what it was taken for; if not, what it is instead.

mod character;
mod shift;

use serde::{Deserialize, Serialize};

use crate::measure::Take;
use crate::{Expected, Heard, Match};

/// What the take is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum VerdictKind {
    /// The lines that were asked for.
    #[default]
    AsAsked,
    /// Nothing was asked for; notes were heard.
    Free,
    /// Nothing to hear.
    Silence,
    /// Sound, but nothing with a pitch.
    Noise,
    /// Speech or singing.
    Speech,
    /// Struck or plucked: a piano or the like.
    Struck,
    /// More than one player at once.
    Several,
    /// Another exercise than the one asked for.
    OtherExercise,
    /// The lines asked for, all moved by an interval: another transposition or instrument.
    Moved,
    /// The lines asked for, octaves away.
    OctaveOff,
    /// The lines asked for, all off by the ratio of two usual rates: the file lies about its rate.
    RateLie,
    /// Too few notes to tell.
    TooLittle,
}

/// A verdict with its grounds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// What the take is.
    pub kind: VerdictKind,
    /// True when the measures of notes and lines mean what they say.
    pub trusted: bool,
    /// The same in words, with what to do.
    pub words: String,
    /// The figures it rests on.
    pub grounds: Vec<Ground>,
}

/// One figure that a verdict rests on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ground {
    /// What was counted or measured.
    pub what: String,
    /// How much.
    pub value: f64,
    /// Its unit; empty for a share or a count.
    pub unit: String,
}

/// Nothing louder than this is silence, LKFS over 100 ms.
const SILENT_DB: f64 = -62.0;
/// A take that sounds for less than this share of its loud time has no pitch to speak of.
const PITCHED: f64 = 0.15;
/// Share of the notes asked for, in lines that were begun, that makes a take the right one ...
pub(crate) const RIGHT: f64 = 0.6;
/// ... and below which another explanation is looked for.
const WRONG: f64 = 0.5;
/// Share of the notes that another explanation must account for.
const EXPLAINED: f64 = 0.7;
/// Fewest notes to judge by.
const FEWEST: usize = 4;

/// Judges a take. `free` is what is heard without the score; without it a take that is not what
/// was asked for is only called another exercise.
#[must_use]
pub fn judge(take: &Take<'_>, free: Option<&Heard>) -> Verdict {
    let ground = |what: &str, value: f64, unit: &str| Ground {
        what: what.into(),
        value,
        unit: unit.into(),
    };
    let say = |kind, words: String, grounds: Vec<Ground>| Verdict {
        trusted: matches!(kind, VerdictKind::AsAsked | VerdictKind::Free),
        kind,
        words,
        grounds,
    };
    let loudest = take
        .k
        .levels(0.0, take.heard.seconds, 0.1)
        .fold(-200.0, f64::max);
    let level = ground("loudest tenth of a second", loudest, "LKFS");
    if loudest < SILENT_DB {
        let words = "Nothing is heard: check that the right microphone is chosen and not muted.";
        return say(VerdictKind::Silence, words.into(), vec![level]);
    }
    let heard = free.unwrap_or(take.heard);
    let character = character::of(take, heard);
    let mut grounds = vec![
        level,
        ground("share of the loud time with a pitch", character.pitched, ""),
        ground("share of the pitch that holds still", character.steady, ""),
    ];
    if character.pitched < PITCHED || heard.notes.is_empty() {
        let words = "There is sound, but nothing with a pitch: noise, or the microphone is too \
                     far away. Record again nearer to the bell.";
        return say(VerdictKind::Noise, words.into(), grounds);
    }
    let agreement = agreement(take.expected, take.heard);
    let asked = take.expected.count() > 0;
    if asked {
        grounds.push(ground("share of the notes asked for", agreement, ""));
    }
    // What agrees note by note with what was asked is believed before how it sounds.
    if !(asked && agreement >= RIGHT)
        && let Some((kind, words)) = character.other_than_brass()
    {
        grounds.extend(character.grounds());
        return say(kind, words.into(), grounds);
    }
    if character.several() {
        grounds.extend(character.grounds());
        let words = "More than one player sounds at once: record each player alone, or the \
                     measures belong to nobody.";
        return say(VerdictKind::Several, words.into(), grounds);
    }
    if !asked {
        let words = "Nothing was asked for: the notes are given as they were heard.";
        return say(VerdictKind::Free, words.into(), grounds);
    }
    if agreement < WRONG {
        if let Some(free) = free.filter(|free| free.notes.len() >= FEWEST)
            && let Some(found) = shift::explain(free, take.expected)
            && found.share >= EXPLAINED
        {
            grounds.push(ground(
                "interval that would explain the take",
                found.cents,
                "cents",
            ));
            grounds.push(ground("share of the notes it explains", found.share, ""));
            let (kind, words) = found.verdict();
            return say(kind, words, grounds);
        }
        if heard.notes.len() < FEWEST {
            let words = "Too few notes to tell what was played.";
            return say(VerdictKind::TooLittle, words.into(), grounds);
        }
        let words = format!(
            "This is not what was asked for: only {:.0} % of the notes agree. Choose the exercise \
             that was played, or hear the take without one.",
            100.0 * agreement
        );
        return say(VerdictKind::OtherExercise, words, grounds);
    }
    let words = format!(
        "The take is what was asked for: {:.0} % of the notes of the lines played.",
        100.0 * agreement
    );
    say(VerdictKind::AsAsked, words, grounds)
}

/// Share of notes as asked among those asked for in lines that were begun, or among those heard
/// when these are more.
pub(crate) fn agreement(expected: &Expected, heard: &Heard) -> f64 {
    let mut lines = std::collections::BTreeSet::new();
    let mut as_asked = 0.0;
    for note in &heard.notes {
        if let Some(place) = note.place {
            lines.insert((place.line, place.pass));
            if note.matched == Match::AsAsked {
                as_asked += 1.0;
            }
        }
    }
    let asked: usize = lines
        .iter()
        .filter_map(|(line, _)| expected.lines.get(*line))
        .map(|line| line.notes.len())
        .sum();
    // A take that stops in the middle of its last line is still that line.
    let asked = asked.min(heard.notes.len()).max(1);
    as_asked / asked.max(heard.notes.len()) as f64
}
