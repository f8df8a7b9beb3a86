//! Where the lines start.

use crate::exercise::{Ladder, Move, MoveWord, Order, Travel, TubePitch};

/// Most lines of an exercise before repeats.
pub(crate) const MAX_STARTS: usize = 200;

/// One start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Start {
    /// Tube key of the first note; for a length, semitones below the open tube.
    pub(crate) key: i32,
    /// Tube key of the harmony's root.
    pub(crate) root: i32,
}

/// The starts in order, and words about a travel that cannot land on its end.
pub(crate) fn starts(travel: &Travel, ladder: &Ladder, seed: u64) -> (Vec<Start>, Vec<String>) {
    let mut notes = Vec::new();
    let (list, order) = match travel {
        Travel::Moves {
            from,
            to,
            by,
            order,
            root,
        } => {
            let (from, to) = (from.key(), to.key());
            let keys = match by {
                Move::Semitones(n) => by_semitones(from, to, i32::from(*n)),
                Move::Word(MoveWord::Semitone) => by_semitones(from, to, 1),
                Move::Word(MoveWord::WholeTone) => by_semitones(from, to, 2),
                Move::Word(MoveWord::FifthsUp) => by_fifths(from, to, 7),
                Move::Word(MoveWord::FifthsDown) => by_fifths(from, to, -7),
                Move::Word(MoveWord::Harmony) => {
                    by_rungs(from, to, root.map_or(from, TubePitch::key), ladder)
                }
            };
            let fifths = matches!(by, Move::Word(MoveWord::FifthsUp | MoveWord::FifthsDown));
            if keys.last() != Some(&to) && !fifths {
                notes.push(
                    "the travel passes its end without landing on it; it stops at the last start before"
                        .to_owned(),
                );
            }
            let stays = match by {
                Move::Word(MoveWord::Harmony) => Some(root.map_or(from, TubePitch::key)),
                _ => root.map(TubePitch::key),
            };
            (rooted(&keys, stays), *order)
        }
        Travel::Lengths {
            lengths: [from, to],
            order,
        } => {
            let keys = by_semitones(i32::from(*from), i32::from(*to), 1);
            (rooted(&keys, None), *order)
        }
        Travel::Starts {
            starts,
            order,
            root,
        } => {
            let keys: Vec<i32> = starts.iter().map(|s| s.key()).collect();
            (rooted(&keys, root.map(TubePitch::key)), *order)
        }
    };
    (ordered(list, order, seed), notes)
}

fn rooted(keys: &[i32], root: Option<i32>) -> Vec<Start> {
    keys.iter()
        .map(|&key| Start {
            key,
            root: root.unwrap_or(key),
        })
        .collect()
}

fn by_semitones(from: i32, to: i32, size: i32) -> Vec<i32> {
    let size = size.max(1);
    let count = ((from - to).abs() / size) as usize + 1;
    let step = if to < from { -size } else { size };
    (0..count.min(MAX_STARTS) as i32)
        .map(|i| from + i * step)
        .collect()
}

/// Twelve keys a fifth apart from `from` on, each moved by octaves to lie between the ends; keys
/// that no octave brings between them are passed over.
fn by_fifths(from: i32, to: i32, fifth: i32) -> Vec<i32> {
    let (low, high) = (from.min(to), from.max(to));
    (0..12)
        .filter_map(|i| {
            let class = from + i * fifth;
            let key = low + (class - low).rem_euclid(12);
            // As near to the first start's end as the window allows.
            let key = if from == high {
                key + (high - key).div_euclid(12) * 12
            } else {
                key
            };
            (key <= high).then_some(key)
        })
        .collect()
}

/// The notes of the harmony on `root` from one end to the other.
fn by_rungs(from: i32, to: i32, root: i32, ladder: &Ladder) -> Vec<i32> {
    let Some(first) = ladder.rung_of_semitones(from - root) else {
        return Vec::new();
    };
    let step = if to < from { -1 } else { 1 };
    (0..MAX_STARTS as i32)
        .map(|i| root + ladder.semitones(first + i * step))
        .take_while(|&key| if step < 0 { key >= to } else { key <= to })
        .collect()
}

fn ordered(list: Vec<Start>, order: Order, seed: u64) -> Vec<Start> {
    match order {
        Order::Straight => list,
        Order::ThereAndBack => {
            let back: Vec<Start> = list.iter().rev().skip(1).copied().collect();
            list.into_iter().chain(back).take(MAX_STARTS).collect()
        }
        Order::Alternating => {
            let count = list.len();
            (0..count)
                .filter_map(|i| {
                    let at = if i % 2 == 0 { i / 2 } else { count - 1 - i / 2 };
                    list.get(at).copied()
                })
                .collect()
        }
        Order::Drawn => {
            let mut list = list;
            let mut state = seed;
            for i in (1..list.len()).rev() {
                let j = (split_mix(&mut state) % (i as u64 + 1)) as usize;
                list.swap(i, j);
            }
            list
        }
    }
}

/// SplitMix64 (Steele, Lea & Flood, "Fast splittable pseudorandom number generators", 2014).
fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_seven_lengths_of_split_mix_are_the_published_sequence() {
        // First outputs of SplitMix64 for seed 1234567 (widely published test vector; from memory).
        let mut state = 1_234_567;
        assert_eq!(split_mix(&mut state), 6_457_827_717_110_365_317);
        assert_eq!(split_mix(&mut state), 3_203_168_211_198_807_973);
    }

    #[test]
    fn fifths_go_through_all_twelve_keys_between_the_ends() {
        let keys = by_fifths(72, 61, -7);
        assert_eq!(&keys[..4], &[72, 65, 70, 63]);
        let mut classes: Vec<i32> = keys.iter().map(|k| k % 12).collect();
        classes.sort_unstable();
        assert_eq!(classes, (0..12).collect::<Vec<_>>());
    }
}
