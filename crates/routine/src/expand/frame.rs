//! Between the names that exercises use (home is `C5`) and what sounds on one instrument.

use horn::{Instrument, Reading};
use tone::{Interval, Pitch, Sounding, Transposition};

use crate::exercise::HOME_KEY;

/// Semitones and staff steps of partials 1 to 16 above the fundamental, to the nearest semitone.
const PARTIALS: [(i32, i32); 16] = [
    (0, 0),
    (12, 7),
    (19, 11),
    (24, 14),
    (28, 16),
    (31, 18),
    (34, 20),
    (36, 21),
    (38, 22),
    (40, 23),
    (42, 24),
    (43, 25),
    (44, 26),
    (46, 27),
    (47, 27),
    (48, 28),
];

/// A partial above the fundamental of its length; `None` beyond 1 to 16.
#[must_use]
pub(crate) fn partial_interval(partial: u8) -> Option<Interval> {
    let (semitones, steps) = PARTIALS.get(usize::from(partial).checked_sub(1)?)?;
    Some(Interval::new(*steps, *semitones))
}

/// How tube names lie on one instrument in one reading.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    /// Sounding key of the name `C5`.
    home_key: i32,
    /// Tube key of the open tube's fundamental.
    pub(crate) fundamental: i32,
    /// From written to sounding.
    pub(crate) transposition: Transposition,
}

impl Frame {
    /// The frame of an instrument; `shift` moves the name `C5` by so many semitones from the
    /// instrument's own home (a class agrees on one home for all).
    pub(crate) fn new(instrument: &Instrument, reading: &Reading, shift: i32) -> Option<Self> {
        let home = partial_interval(instrument.home_partial)?;
        Some(Self {
            home_key: instrument.fundamental.midi() + home.semitones + shift,
            fundamental: HOME_KEY - home.semitones - shift,
            transposition: reading.transposition,
        })
    }

    pub(crate) const fn sounding(self, tube: i32) -> i32 {
        tube - HOME_KEY + self.home_key
    }

    pub(crate) const fn tube(self, sounding: i32) -> i32 {
        sounding - self.home_key + HOME_KEY
    }

    /// Semitones above the instrument's own home partial, for load.
    pub(crate) const fn above_home(self, tube: i32, home_partial_semitones: i32) -> i32 {
        tube - self.fundamental - home_partial_semitones
    }

    /// Written key number of a tube key.
    pub(crate) const fn written_key(self, tube: i32) -> i32 {
        self.sounding(tube) - self.transposition.0.semitones
    }

    /// Tube key of a written pitch.
    pub(crate) fn tube_of_written(self, written: tone::Written) -> i32 {
        let sounding: Sounding = self.transposition.sounding(written);
        self.tube(sounding.midi())
    }
}

/// A pitch as people write it in a sentence: B-flat 4, F-sharp 3.
pub(crate) fn name(pitch: Pitch) -> String {
    format!("{}{}", class_name(pitch), pitch.octave)
}

/// The same without the octave.
pub(crate) fn class_name(pitch: Pitch) -> String {
    let accidental = match pitch.alter {
        -2 => "-double-flat ",
        -1 => "-flat ",
        0 => "",
        1 => "-sharp ",
        _ => "-double-sharp ",
    };
    format!("{:?}{accidental}", pitch.letter)
}
