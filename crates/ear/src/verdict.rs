//! Whether a take is what it was taken for; if not, what it is instead.

mod character;
mod shift;

use serde::{Deserialize, Serialize};

use crate::measure::Take;
use crate::{Expected, Heard, HeardNote, Match, Place};

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
/// Share of the notes asked for, in lines that were begun, that makes a take the right one
/// without a look at other explanations. Arpeggios a fifth apart have 60 % of their pitches in
/// common.
pub(crate) const RIGHT: f64 = 0.85;
/// Share below which a take is not the one asked for even when nothing else explains it: a
/// beginner's take with every third note missed is still the exercise.
const WRONG: f64 = 0.6;
/// Share of the notes that another explanation must account for ...
const EXPLAINED: f64 = 0.7;
/// ... and by how much more than the notes as asked do.
const EXPLAINED_MORE: f64 = 0.15;
/// Fewest notes to judge by.
const FEWEST: usize = 4;
const SEVERAL: &str = "More than one player sounds at once: record each player alone, or the \
                       measures belong to nobody.";

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
    let counted = count(take.expected, take.heard);
    let agreement = counted.share();
    let asked = take.expected.count() > 0;
    if asked {
        grounds.push(ground("share of the notes asked for", agreement, ""));
    }
    // What agrees note by note with what was asked is believed before how it sounds.
    if !(asked && agreement >= RIGHT) {
        let other = if character.several() {
            Some((VerdictKind::Several, SEVERAL))
        } else {
            character.other_than_brass()
        };
        if let Some((kind, words)) = other {
            grounds.extend(character.grounds());
            return say(kind, words.into(), grounds);
        }
    } else if character.several() {
        grounds.extend(character.grounds());
        return say(VerdictKind::Several, SEVERAL.into(), grounds);
    }
    if !asked {
        let words = "Nothing was asked for: the notes are given as they were heard.";
        return say(VerdictKind::Free, words.into(), grounds);
    }
    if agreement < RIGHT
        && let Some(free) = free.filter(|free| free.notes.len() >= FEWEST)
        && let Some(found) = shift::explain(free, take.expected)
        && found.share >= EXPLAINED
        && found.share >= found.straight + EXPLAINED_MORE
    {
        grounds.push(ground(
            "interval that would explain the take",
            found.cents,
            "cents",
        ));
        grounds.push(ground("share of the notes it explains", found.share, ""));
        grounds.push(ground(
            "share of the notes explained without it",
            found.straight,
            "",
        ));
        grounds.push(ground("how sure that is", found.sure, ""));
        let (kind, words) = found.verdict();
        return say(kind, words, grounds);
    }
    // Who begins a line again leaves it before its end: what was played then is what counts, where
    // that is right and nothing else explains the take.
    if agreement < WRONG && counted.share_begun() < RIGHT {
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
    let mut words = format!(
        "The take is what was asked for: {} of {} notes of the lines played.",
        counted.as_asked,
        counted.begun()
    );
    if let Some((done, all)) = counted.stops {
        words.push_str(&format!(
            " It stops after {done} of the {all} notes of its last line."
        ));
    }
    let lines: std::collections::BTreeSet<usize> = take
        .heard
        .notes
        .iter()
        .filter_map(|n| n.place.map(|p| p.line))
        .collect();
    if lines.len() < take.expected.lines.len() {
        words.push_str(&format!(
            " {} of {} lines were played.",
            lines.len(),
            take.expected.lines.len()
        ));
    }
    say(VerdictKind::AsAsked, words, grounds)
}

/// How many notes were played as asked, of how many asked for in the lines that were played.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Count {
    pub(crate) as_asked: usize,
    pub(crate) asked: usize,
    /// Of those asked for, the notes left out by beginning a line again before its end or inside it.
    begun_again: usize,
    heard: usize,
    /// Notes up to the last one heard, and all, of the line that the take ends in, when it ends
    /// before the line does.
    stops: Option<(usize, usize)>,
}

impl Count {
    /// The share as asked of those asked for, or of those heard when these are more.
    pub(crate) fn share(&self) -> f64 {
        self.as_asked as f64 / self.asked.max(self.heard).max(1) as f64
    }

    /// How many were asked for but for those left out by beginning again.
    pub(crate) fn begun(&self) -> usize {
        self.asked.saturating_sub(self.begun_again)
    }

    /// The same share, of these.
    fn share_begun(&self) -> f64 {
        self.as_asked as f64 / self.begun().max(self.heard).max(1) as f64
    }
}

/// Counts the notes as asked. A note counts when it stands beside a neighbour of its line in the
/// right order: notes that only happen to have a pitch of the score, in any order, don't. Every
/// line counts whole each time it is begun, but for what the take leaves out before its first and
/// after its last note.
pub(crate) fn count(expected: &Expected, heard: &Heard) -> Count {
    let mut count = Count {
        heard: heard.notes.len(),
        ..Count::default()
    };
    let length = |line: usize| expected.lines.get(line).map_or(0, |line| line.notes.len());
    for (i, note) in heard.notes.iter().enumerate() {
        let Some(place) = note.place else { continue };
        let beside = |other: Option<&HeardNote>, step: isize| {
            other.and_then(|n| n.place).is_some_and(|p| {
                (p.line, p.pass) == (place.line, place.pass)
                    && Some(p.note) == place.note.checked_add_signed(step)
            })
        };
        let before = i.checked_sub(1).and_then(|b| heard.notes.get(b));
        let alone = length(place.line) == 1;
        let in_order = alone || beside(before, -1) || beside(heard.notes.get(i + 1), 1);
        count.as_asked += usize::from(note.matched == Match::AsAsked && in_order);
    }
    let runs = runs(heard);
    let mut lines = std::collections::BTreeSet::new();
    for pair in runs.windows(2) {
        let [(_, last), (first, _)] = pair else {
            continue;
        };
        if first.line == last.line {
            count.begun_again += length(last.line).saturating_sub(last.note + 1) + first.note;
        }
    }
    for (first, _) in &runs {
        if lines.insert((first.line, first.pass)) {
            count.asked += length(first.line);
        }
    }
    if let Some(((first, _), (_, last))) = runs.first().zip(runs.last()) {
        let (done, all) = (last.note + 1, length(last.line));
        count.stops = (done < all).then_some((done, all));
        count.asked = count
            .asked
            .saturating_sub(first.note + all.saturating_sub(done));
    }
    count
}

/// First and last place of every run through a line, in the order they were played.
fn runs(heard: &Heard) -> Vec<(Place, Place)> {
    let mut runs: Vec<(Place, Place)> = Vec::new();
    for place in heard.notes.iter().filter_map(|n| n.place) {
        match runs.last_mut() {
            Some((first, last)) if (first.line, first.pass) == (place.line, place.pass) => {
                *last = place;
            }
            _ => runs.push((place, place)),
        }
    }
    runs
}

/// Share of notes as asked: see [`count`].
pub(crate) fn agreement(expected: &Expected, heard: &Heard) -> f64 {
    count(expected, heard).share()
}
