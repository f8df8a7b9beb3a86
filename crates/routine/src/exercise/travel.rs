//! How the starting note of the line travels.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::TubePitch;

/// Where the lines start, in order. One of the three forms.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Travel {
    /// From one note to another by equal moves.
    Moves {
        /// Where the first line starts.
        from: TubePitch,
        /// Where the last line starts.
        to: TubePitch,
        /// The move from one start to the next.
        by: Move,
        /// The order in which the starts are taken.
        #[serde(default)]
        order: Order,
        /// A root that stays while the start travels; without it the root travels too.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        root: Option<TubePitch>,
    },
    /// Through the lengths of the tube: from so many semitones below the open tube to so many.
    Lengths {
        /// First and last: `[0, 6]` goes through all seven lengths.
        lengths: [u8; 2],
        /// The order in which the lengths are taken.
        #[serde(default)]
        order: Order,
    },
    /// Just these.
    Starts {
        /// The starting notes.
        starts: Vec<TubePitch>,
        /// The order in which the starts are taken.
        #[serde(default)]
        order: Order,
        /// A root that stays while the start travels; without it the root travels too.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        root: Option<TubePitch>,
    },
}

/// The move from one start to the next; its direction follows from the two ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Move {
    /// By a word.
    Word(MoveWord),
    /// By so many semitones, 1 to 24.
    Semitones(u8),
}

/// A move by word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MoveWord {
    /// One semitone.
    Semitone,
    /// Two semitones.
    WholeTone,
    /// Keys a fifth apart upward (C G D ...), each start folded to lie between `from` and `to`.
    FifthsUp,
    /// Keys a fifth apart downward (C F B-flat ...), each start folded to lie between the ends.
    FifthsDown,
    /// To the next note of the harmony; the root stays.
    Harmony,
}

/// The order in which starts are taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Order {
    /// From the first to the last.
    #[default]
    Straight,
    /// First, last, second, last but one ...
    Alternating,
    /// To the last and back to the first.
    ThereAndBack,
    /// Drawn by the seed of the day: another order tomorrow, the same one for the same seed.
    Drawn,
}
