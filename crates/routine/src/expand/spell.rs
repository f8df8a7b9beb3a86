//! From keys to spelled written pitches, so that a chord looks like a chord.

use tone::{Interval, KeySignature, Letter, Pitch, Sounding, Written};

use super::frame::Frame;
use super::shape::{Shape, Tone};

/// The written root of a line and its key signature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spelling {
    root: Pitch,
    pub(crate) key: KeySignature,
    frame: Frame,
}

/// Place of a letter on the line of fifths, C = 0, in the order C D E F G A B.
const FIFTHS: [i32; 7] = [0, 2, 4, -1, 1, 3, 5];
/// Most sharps or flats that a line is written in.
const MOST_ACCIDENTALS: i32 = 6;

/// Chooses the written root so that the signature has the fewest accidentals; flats when even.
pub(crate) fn spelling(shape: &Shape, key: Option<i32>, frame: Frame) -> Spelling {
    let midi = frame.written_key(shape.root);
    let offset = key.unwrap_or(0);
    let usual = Pitch::from_midi(midi);
    let best = candidates(midi)
        .map(|pitch| (pitch, fifths(pitch) + offset))
        .filter(|(_, f)| f.abs() <= MOST_ACCIDENTALS)
        .min_by_key(|(_, f)| (f.abs(), *f > 0));
    let (root, f) = best.unwrap_or((usual, 0));
    Spelling {
        root,
        key: KeySignature(if key.is_some() { f as i8 } else { 0 }),
        frame,
    }
}

/// Sharps or flats of a key against the tube: none in the key of the open tube. This is what the
/// part has when it is read in treble clef with home on C5, and how far a key lies from the open
/// tube in every other reading.
pub(crate) fn accidentals(own_tube_root: i32, key: i32) -> u8 {
    candidates(own_tube_root)
        .map(|pitch| (fifths(pitch) + key).unsigned_abs())
        .min()
        .map_or(0, |f| f.min(12) as u8)
}

fn candidates(midi: i32) -> impl Iterator<Item = Pitch> {
    (-1..=1_i8).filter_map(move |alter| {
        let natural = Pitch::from_midi(midi - i32::from(alter));
        (natural.alter == 0).then(|| Pitch::new(natural.letter, alter, natural.octave))
    })
}

fn fifths(pitch: Pitch) -> i32 {
    let letter: Letter = pitch.letter;
    FIFTHS.get(letter as usize).copied().unwrap_or(0) + 7 * i32::from(pitch.alter)
}

impl Spelling {
    /// How a tone is written and what sounds.
    pub(crate) fn tone(&self, tone: &Tone, root_key: i32) -> (Written, Sounding) {
        let midi = self.frame.written_key(tone.key);
        let written = tone.steps.map_or_else(
            || self.without_steps(midi),
            |steps| self.root + Interval::new(steps, tone.key - root_key),
        );
        let written = Written(if self.is_usual(written) {
            written
        } else {
            Pitch::from_midi(midi)
        });
        (written, self.frame.transposition.sounding(written))
    }

    /// Whether players expect this spelling: a double sharp only as a raised degree of a key with
    /// five sharps or more (the leading note of G sharp minor is F double sharp), a double flat
    /// never. (Common practice, no source.)
    fn is_usual(&self, written: Pitch) -> bool {
        match written.alter {
            -1..=1 => true,
            2 => self.key.0 >= 5,
            _ => false,
        }
    }

    /// Harmonies without a spelling: the usual names, flats in flat keys.
    fn without_steps(&self, midi: i32) -> Pitch {
        let usual = Pitch::from_midi(midi);
        if self.key.0 < 0 && usual.alter > 0 {
            Pitch::from_step_and_midi(usual.staff_step() + 1, midi)
        } else {
            usual
        }
    }

    /// The sounding root, raised by octaves as long as it stays at or under `lowest` (a tube key):
    /// what a drone holds.
    pub(crate) fn drone(&self, root_key: i32, lowest: i32) -> Sounding {
        let octaves = (lowest - root_key).div_euclid(12);
        let root = self.root + Interval::new(7 * octaves, 12 * octaves);
        self.frame.transposition.sounding(Written(root))
    }
}
