//! Transpositions and intervals form a group, and act on pitches as one.

use proptest::prelude::*;
use tone::{Interval, KeySignature, Letter, Pitch, Sounding, Transposition, Written};

fn pitches() -> impl Strategy<Value = Pitch> {
    (0_i32..7, -1_i8..=1, 0_i8..=9)
        .prop_map(|(step, alter, octave)| Pitch::new(Letter::from_step(step), alter, octave))
}

fn intervals() -> impl Strategy<Value = Interval> {
    (pitches(), pitches()).prop_map(|(from, to)| Interval::between(from, to))
}

/// Every transposition that brass parts use.
fn transpositions() -> impl Strategy<Value = Transposition> {
    prop::sample::select(vec![
        Interval::new(0, 0),
        Interval::new(-1, -2),
        Interval::new(2, 3),
        Interval::new(6, 10),
        Interval::new(-4, -7),
        Interval::new(3, 5),
        Interval::new(-5, -9),
        Interval::new(-8, -14),
        Interval::new(-12, -21),
        Interval::new(-15, -26),
    ])
    .prop_map(Transposition)
}

proptest! {
    #[test]
    fn intervals_add_as_a_commutative_group(a in intervals(), b in intervals(), c in intervals()) {
        prop_assert_eq!((a + b) + c, a + (b + c));
        prop_assert_eq!(a + b, b + a);
        prop_assert_eq!(a + Interval::UNISON, a);
        prop_assert_eq!(a - a, Interval::UNISON);
        prop_assert_eq!((a + b).fifths(), a.fifths() + b.fifths());
    }

    #[test]
    fn intervals_act_on_pitches(p in pitches(), a in intervals(), b in intervals()) {
        prop_assert_eq!((p + a) + b, p + (a + b));
        prop_assert_eq!(p + a - a, p);
        prop_assert_eq!(p + Interval::UNISON, p);
    }

    #[test]
    fn moving_by_an_interval_moves_along_the_line_of_fifths(p in pitches(), a in intervals()) {
        let moved = i64::from((p + a).name().fifths());
        prop_assert_eq!(moved, i64::from(p.name().fifths()) + a.fifths());
    }

    #[test]
    fn transpositions_compose_and_undo(t in transpositions(), u in transpositions(), p in pitches()) {
        let heard = t.sounding(Written(p));
        let twice = u.sounding(Written(heard.0));
        prop_assert_eq!(t.then(u).sounding(Written(p)).midi(), twice.midi());
        prop_assert_eq!(t.then(t.inverse()), Transposition::CONCERT);
        prop_assert_eq!(t.inverse().sounding(Written(p)).midi(), t.written(Sounding(p)).midi());
    }

    #[test]
    fn what_is_written_sounds_and_back(t in transpositions(), p in pitches()) {
        let written = t.written(Sounding(p));
        prop_assert_eq!(t.sounding(written).midi(), p.midi());
        let heard = t.sounding(Written(p));
        prop_assert_eq!(t.written(heard).midi(), p.midi());
        // The same spelling comes back wherever no double accidental stood in the way.
        let exact = p - t.0;
        if exact.alter.abs() <= 1 {
            prop_assert_eq!(t.sounding(written), Sounding(p));
        }
    }

    #[test]
    fn keys_follow_their_notes(t in transpositions(), fifths in -7_i8..=7, midi in 24_i32..=96) {
        let concert = KeySignature(fifths);
        let part = t.written_key(concert);
        prop_assert!((-7..=7).contains(&part.0));
        let back = t.sounding_key(part);
        prop_assert_eq!((i32::from(back.0) - i32::from(fifths)).rem_euclid(12), 0);
        // A note of the concert scale is a note of the written scale, spelled with its signature.
        let sounding = Sounding(Pitch::spelled(midi, concert));
        let written = t.written_in(sounding, part);
        prop_assert_eq!(t.sounding(written).midi(), midi);
        let diatonic = |pitch: Pitch, key: KeySignature| key.alter(pitch.letter) == pitch.alter;
        prop_assert_eq!(diatonic(sounding.0, concert), diatonic(written.0, part));
    }

    #[test]
    fn a_compound_interval_is_its_simple_one_and_octaves(a in intervals()) {
        let simple = a.simple();
        prop_assert!(simple.steps.abs() < 7);
        let octaves = (a - simple).steps / 7;
        prop_assert_eq!(a - simple, Interval::new(7 * octaves, 12 * octaves));
    }
}
