//! What is printed reads back as the same thing.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use proptest::prelude::*;
use tone::{
    Cents, Hertz, Interval, Key, KeySignature, Letter, Mode, NoteName, Pitch, StaffPosition,
    Temperament, Tuning,
};

fn pitches() -> impl Strategy<Value = Pitch> {
    (0_i32..7, -3_i8..=3, -2_i8..=12)
        .prop_map(|(step, alter, octave)| Pitch::new(Letter::from_step(step), alter, octave))
}

proptest! {
    #[test]
    fn a_pitch_reads_back_from_plain_and_from_signs(pitch in pitches()) {
        prop_assert_eq!(pitch.to_string().parse::<Pitch>().unwrap(), pitch);
        prop_assert_eq!(format!("{pitch:#}").parse::<Pitch>().unwrap(), pitch);
        let json = serde_json::to_string(&pitch).unwrap();
        prop_assert_eq!(serde_json::from_str::<Pitch>(&json).unwrap(), pitch);
    }

    #[test]
    fn step_and_key_give_the_pitch_back(pitch in pitches()) {
        prop_assert_eq!(Pitch::from_step_and_midi(pitch.staff_step(), pitch.midi()), pitch);
    }

    #[test]
    fn any_spelling_of_a_key_sounds_as_that_key(midi in -12_i32..=167, fifths in -7_i8..=7) {
        let pitch = Pitch::spelled(midi, KeySignature(fifths));
        prop_assert_eq!(pitch.midi(), midi);
        prop_assert!(pitch.alter.abs() <= 1);
    }

    #[test]
    fn a_name_is_its_place_on_the_line_of_fifths(fifths in -880_i32..=880) {
        let name = NoteName::from_fifths(fifths).unwrap();
        prop_assert_eq!(name.fifths(), fifths);
    }

    #[test]
    fn an_interval_reads_back(from in pitches(), to in pitches()) {
        let interval = Interval::between(from, to);
        prop_assert_eq!(from + interval, to);
        let by = match interval.quality() {
            tone::Quality::Diminished(by) | tone::Quality::Augmented(by) => by,
            _ => 0,
        };
        // Only up to three times diminished or augmented has a short name that reads.
        if by <= 3 {
            prop_assert_eq!(interval.to_string().parse::<Interval>().unwrap(), interval);
        }
    }

    #[test]
    fn a_key_reads_back(fifths in -7_i8..=7, minor: bool) {
        let signature = KeySignature(fifths);
        let key = if minor { signature.minor() } else { signature.major() };
        prop_assert_eq!(key.to_string().parse::<Key>().unwrap(), key);
        prop_assert_eq!(key.signature(), Some(signature));
        prop_assert_eq!(key.mode, if minor { Mode::Minor } else { Mode::Major });
    }

    #[test]
    fn a_staff_place_names_its_note(place in -40_i32..=40, clef in 0_usize..4) {
        let clef = tone::Clef::ALL[clef];
        let position = StaffPosition(place);
        prop_assert_eq!(clef.position(clef.pitch_at(position)), position);
    }

    #[test]
    fn a_frequency_finds_its_pitch(midi in 0_i32..=120, a4 in 415.0..=466.0, root in 0_u8..12, off in -40.0..=40.0) {
        for temperament in [
            Temperament::Equal,
            Temperament::Just { root },
            Temperament::Pythagorean { root },
            Temperament::Meantone { root },
        ] {
            let tuning = Tuning::new(Hertz(a4), temperament).unwrap();
            let pitch = tone::Sounding(Pitch::from_midi(midi));
            let near = tuning.nearest(tuning.frequency(pitch)).unwrap();
            prop_assert_eq!(near.pitch, pitch);
            prop_assert!(near.cents.0.abs() < 1e-6);
        }
        let equal = Tuning::new(Hertz(a4), Temperament::Equal).unwrap();
        let near = equal.nearest(equal.equal(midi).shifted(Cents(off))).unwrap();
        prop_assert_eq!(near.pitch.midi(), midi);
        prop_assert!((near.cents.0 - off).abs() < 1e-6);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,12}") {
        let _ = text.parse::<Pitch>();
        let _ = text.parse::<NoteName>();
        let _ = text.parse::<Interval>();
        let _ = text.parse::<Key>();
        let _ = text.parse::<Temperament>();
    }

    #[test]
    fn no_number_panics(steps: i32, semitones: i32, letter in 0_i32..7, alter: i8, octave: i8, fifths: i8) {
        let pitch = Pitch::new(Letter::from_step(letter), alter, octave);
        let interval = Interval::new(steps, semitones);
        let moved = pitch + interval - interval;
        let _ = (moved.to_string(), interval.name(), interval.to_string(), interval.simple());
        let signature = KeySignature(fifths);
        let _ = (signature.transposed(interval), signature.major(), signature.minor().scale());
        let _ = (Pitch::spelled(semitones, signature), signature.accidentals().count());
        let tuning = Tuning { a4: Hertz(440.0), temperament: Temperament::Just { root: octave.unsigned_abs() } };
        let _ = (tuning.frequency(tone::Sounding(moved)), tuning.equal(steps), tuning.offset(steps));
        let _ = tuning.nearest(Hertz(f64::from_bits(steps.unsigned_abs().into())));
        let _ = tone::Clef::Bass.pitch_at(StaffPosition(steps));
    }
}

#[test]
fn not_a_pitch_is_refused_with_what_was_written() {
    for text in ["", "H4", "Bb", "4", "Bbbbb3", "C99", "C4x", "c 4", "C-3"] {
        let error = text.parse::<Pitch>().unwrap_err().to_string();
        assert!(error.contains(text) && error.contains("Bb4"), "{error}");
    }
}

#[test]
fn signs_and_letters_of_either_case_read() {
    for (text, plain) in [
        ("b♭3", "Bb3"),
        ("F♯4", "F#4"),
        ("Fx4", "F##4"),
        ("C𝄪5", "C##5"),
        ("B𝄫2", "Bbb2"),
        ("A♮4", "A4"),
        ("C−1", "C-1"),
        (" eb5 ", "Eb5"),
    ] {
        assert_eq!(text.parse::<Pitch>().unwrap().to_string(), plain);
    }
}
