//! Beams: notes of the same beat that are shorter than a quarter are joined.

use routine::part::TICKS_PER_QUARTER;

use super::Symbol;
use crate::value::Shape;

/// One beam of a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beam {
    /// The beam starts here.
    Begin,
    /// The beam goes through.
    Continue,
    /// The beam ends here.
    End,
    /// A short beam to the right.
    ForwardHook,
    /// A short beam to the left.
    BackwardHook,
}

/// Ticks of the beat that beams follow: a dotted value in compound meters.
pub(super) fn beat((beats, unit): (u8, u8)) -> u32 {
    let unit_ticks = Shape::Whole.ticks() / u32::from(unit.max(1));
    if unit >= 8 && beats % 3 == 0 {
        unit_ticks * 3
    } else {
        unit_ticks.max(TICKS_PER_QUARTER)
    }
}

/// Sets the beams of every note of a bar.
pub(super) fn mark(symbols: &mut [Symbol<'_>], beat: u32) {
    let levels: Vec<u8> = symbols
        .iter()
        .map(|symbol| match (&symbol.head, symbol.value) {
            (Some(_), Some(value)) => value.shape.beams(),
            _ => 0,
        })
        .collect();
    let starts: Vec<u32> = symbols.iter().map(|symbol| symbol.start / beat).collect();
    let joined = |a: usize, b: usize, level: u8| {
        let reaches = |i: usize| levels.get(i).is_some_and(|&have| have >= level);
        reaches(a) && reaches(b) && starts.get(a) == starts.get(b)
    };
    for (index, symbol) in symbols.iter_mut().enumerate() {
        let own = levels.get(index).copied().unwrap_or(0);
        let before = |level| {
            index
                .checked_sub(1)
                .is_some_and(|i| joined(i, index, level))
        };
        let after = |level| joined(index, index + 1, level);
        if !before(1) && !after(1) {
            continue;
        }
        symbol.beams = (1..=own)
            .map(|level| match (before(level), after(level)) {
                (true, true) => Beam::Continue,
                (false, true) => Beam::Begin,
                (true, false) => Beam::End,
                (false, false) if after(1) && !before(1) => Beam::ForwardHook,
                (false, false) => Beam::BackwardHook,
            })
            .collect();
    }
}
