//! Names of intervals, keys and staff places. Elementary theory: common practice, no source.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use tone::{Clef, Interval, Key, KeySignature, Pitch, Temperament, Transposition, Written};

#[test]
fn intervals_have_their_names() {
    for (from, to, short, long) in [
        ("C4", "C4", "P1", "perfect unison"),
        ("C4", "C#4", "A1", "augmented unison"),
        ("C4", "Db4", "m2", "minor second"),
        ("Bb3", "C5", "M9", "major ninth"),
        ("C4", "F#4", "A4", "augmented fourth"),
        ("B3", "F4", "d5", "diminished fifth"),
        ("C5", "Bb4", "-M2", "major second down"),
        ("C4", "F3", "-P5", "perfect fifth down"),
        ("C4", "Cb4", "-A1", "augmented unison down"),
        ("B3", "Ebb4", "dd4", "doubly diminished fourth"),
        ("C4", "C5", "P8", "perfect octave"),
        ("C#4", "Bb4", "d7", "diminished seventh"),
        ("D4", "C2", "-M16", "major sixteenth down"),
        ("C2", "C5", "P22", "perfect twenty-second"),
        ("C2", "Db5", "m23", "minor 23rd"),
    ] {
        let interval = Interval::between(from.parse().unwrap(), to.parse().unwrap());
        assert_eq!(interval.to_string(), short, "{from} to {to}");
        assert_eq!(interval.name(), long);
    }
    for text in [
        "",
        "P3",
        "m5",
        "M0",
        "x3",
        "M",
        "-",
        "P99999999999",
        "AAAA4",
    ] {
        assert!(text.parse::<Interval>().is_err(), "{text}");
    }
}

#[test]
fn signatures_have_their_keys() {
    for (fifths, major, minor, last) in [
        (0, "C", "A", ""),
        (1, "G", "E", "F#"),
        (4, "E", "C#", "D#"),
        (7, "C#", "A#", "B#"),
        (-1, "F", "D", "Bb"),
        (-3, "Eb", "C", "Ab"),
        (-6, "Gb", "Eb", "Cb"),
        (-7, "Cb", "Ab", "Fb"),
    ] {
        let key = KeySignature::new(fifths).unwrap();
        assert_eq!(key.major().to_string(), format!("{major} major"));
        assert_eq!(key.minor().to_string(), format!("{minor} minor"));
        let printed = key.accidentals().last().map(|n| n.to_string());
        assert_eq!(printed.unwrap_or_default(), last);
    }
    assert_eq!(KeySignature::new(8), None);
    assert_eq!("G# major".parse::<Key>().unwrap().signature(), None);
    for (text, fifths) in [("Bb", -2), ("f#m", 3), ("E♭ Major", -3), ("D minor", -1)] {
        assert_eq!(
            text.parse::<Key>().unwrap().signature(),
            Some(KeySignature(fifths))
        );
    }
    assert!("H minor".parse::<Key>().is_err());
    assert!("C dorian".parse::<Key>().is_err());
}

#[test]
fn scales_keep_their_letters() {
    let scale = |text: &str| -> Vec<String> {
        let key: Key = text.parse().unwrap();
        key.scale().unwrap().map(|n| n.to_string()).to_vec()
    };
    assert_eq!(scale("Ab major"), ["Ab", "Bb", "C", "Db", "Eb", "F", "G"]);
    assert_eq!(scale("F# minor"), ["F#", "G#", "A", "B", "C#", "D", "E"]);
}

#[test]
fn a_key_decides_the_spelling() {
    for (midi, fifths, name) in [
        (61, 0, "C#4"),
        (61, -4, "Db4"),
        (63, 0, "Eb4"),
        (63, 4, "D#4"),
        (66, -1, "F#4"),
        (68, 0, "Ab4"),
        (68, 3, "G#4"),
        (71, -6, "Cb5"),
        (65, 6, "E#4"),
        (60, 7, "B#3"),
        (64, -7, "Fb4"),
        (67, 6, "G4"),
    ] {
        assert_eq!(Pitch::spelled(midi, KeySignature(fifths)).to_string(), name);
    }
}

#[test]
fn parts_get_their_key_signatures() {
    // Concert B-flat, in the parts of a mixed class.
    let concert = KeySignature(-2);
    for (steps, semitones, fifths) in [
        (-1, -2, 0),
        (-4, -7, -1),
        (-5, -9, 1),
        (0, 0, -2),
        (-8, -14, 0),
    ] {
        let part = Transposition(Interval::new(steps, semitones));
        assert_eq!(part.written_key(concert), KeySignature(fifths));
    }
    // Concert B major on a B-flat instrument: D flat rather than C sharp.
    let b_flat = Transposition(Interval::new(-1, -2));
    assert_eq!(b_flat.written_key(KeySignature(5)), KeySignature(-5));
    // Nothing moves, nothing is respelled.
    assert_eq!(
        Transposition::CONCERT.written_key(KeySignature(-7)),
        KeySignature(-7)
    );
}

#[test]
fn notes_stand_where_the_clef_says() {
    for (clef, note, place, ledger) in [
        (Clef::Treble, "E4", 0, 0),
        (Clef::Treble, "F5", 8, 0),
        (Clef::Treble, "G5", 9, 0),
        (Clef::Treble, "A5", 10, 1),
        (Clef::Treble, "C6", 12, 2),
        (Clef::Treble, "D4", -1, 0),
        (Clef::Treble, "F#3", -6, -3),
        (Clef::Bass, "G2", 0, 0),
        (Clef::Bass, "Bb1", -5, -2),
        (Clef::Bass, "Bb3", 9, 0),
        (Clef::Tenor, "C4", 6, 0),
        (Clef::Alto, "C4", 4, 0),
    ] {
        let position = clef.position(note.parse::<Written>().unwrap());
        assert_eq!(
            (position.0, position.ledger_lines()),
            (place, ledger),
            "{clef} {note}"
        );
    }
    assert_eq!(
        Clef::best(&[], ("C4".parse().unwrap(), "C5".parse().unwrap())),
        None
    );
}

#[test]
fn temperaments_read_and_print() {
    for text in ["equal", "just Bb", "pythagorean C", "meantone D"] {
        assert_eq!(text.parse::<Temperament>().unwrap().to_string(), text);
    }
    for text in ["", "just", "just H", "equal C", "just C D"] {
        assert!(text.parse::<Temperament>().is_err(), "{text}");
    }
}
