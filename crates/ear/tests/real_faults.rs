//! Recorded takes that are not what they are taken for: each is named as what it is.
//!
//! Looks for `../shared/data/brass` beside the clone and says so when it is absent. Speech is from an
//! external synthesizer, where there is one.
#![allow(clippy::expect_used, clippy::unwrap_used)]

mod support;

use std::process::Command;

use ear::input::{Input, Options, from_bytes};
use ear::report::{Asked, Report, of_input};
use ear::verdict::VerdictKind;
use ear::{Expected, Samples};
use support::brass::{expected, folder, table, takes};

/// A take's sound at its own rate, as read from its file, and what was to be played.
fn take(name: &str) -> Option<(Input, Expected)> {
    let file = folder()?.join("takes").join(name);
    let bytes = std::fs::read(file.with_extension("flac")).expect("the take is there");
    let input = from_bytes(&bytes, &Options::default()).expect("it is sound");
    Some((input, expected(&table(&file.with_extension("tsv")))))
}

/// The same input with another sound.
fn with(input: &Input, samples: Samples) -> Input {
    Input {
        samples,
        ..input.clone()
    }
}

fn reported(input: &Input, expected: Option<&Expected>) -> Report {
    let asked = Asked {
        expected,
        ..Asked::default()
    };
    of_input(input, &asked)
}

fn moved(expected: &Expected, semitones: i32) -> Expected {
    let mut moved = expected.clone();
    for note in moved.lines.iter_mut().flat_map(|line| &mut line.notes) {
        note.midi += semitones;
        note.hz *= (f64::from(semitones) / 12.0).exp2();
    }
    moved
}

fn check(input: &Input, expected: Option<&Expected>, kind: VerdictKind, what: &str) {
    let verdict = reported(input, expected).verdict;
    assert_eq!(verdict.kind, kind, "{what}: {verdict:?}");
}

const SCALES: [&str; 5] = [
    "trumpet_amateur_scale_Bb",
    "trumpet_vsco_scale_Bb_detuned",
    "horn_vsco_scale_F_detuned",
    "trombone_vsco_scale_notes",
    "tuba_vsco_scale_Bb_detuned",
];

#[test]
fn every_take_is_what_was_asked_for_and_every_note_of_it() {
    let Some(folder) = folder() else { return };
    for file in takes(&folder) {
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        let (input, asked) = take(&name).unwrap();
        let report = reported(&input, Some(&asked));
        let all = asked.count() as u32;
        assert_eq!(
            report.verdict.kind,
            VerdictKind::AsAsked,
            "{name}: {:?}",
            report.verdict
        );
        assert_eq!(
            (report.take.asked as u32, report.take.as_asked as u32),
            (all, all),
            "{name}"
        );
    }
}

#[test]
fn another_transposition_and_octave_are_named() {
    for name in SCALES {
        let Some((input, asked)) = take(name) else {
            return;
        };
        for (semitones, kind) in [
            (2, VerdictKind::Moved),
            (-7, VerdictKind::Moved),
            (5, VerdictKind::Moved),
            (12, VerdictKind::OctaveOff),
            (-12, VerdictKind::OctaveOff),
        ] {
            check(
                &input,
                Some(&moved(&asked, semitones)),
                kind,
                &format!("{name} {semitones}"),
            );
        }
    }
}

#[test]
fn a_tape_at_half_or_double_speed_is_an_octave_off() {
    for name in SCALES {
        let Some((input, asked)) = take(name) else {
            return;
        };
        for factor in [0.5, 2.0] {
            let rate = input.samples.rate * factor;
            let tape = with(&input, Samples::new(rate, input.samples.data.clone()));
            check(
                &tape,
                Some(&asked),
                VerdictKind::OctaveOff,
                &format!("{name} {factor}"),
            );
        }
    }
}

#[test]
fn a_file_that_lies_about_its_rate_is_named() {
    for name in SCALES {
        let Some((input, asked)) = take(name) else {
            return;
        };
        let lie = with(&input, Samples::new(48_000.0, input.samples.data.clone()));
        // 147 cents less the 30 that the amateur is flat are a semitone and a bit: it could be either.
        let kind = if name.contains("amateur") {
            VerdictKind::Moved
        } else {
            VerdictKind::RateLie
        };
        check(&lie, Some(&asked), kind, name);
    }
}

#[test]
fn another_exercise_is_named() {
    // What was played, and the exercise of the same instrument that it is taken for.
    for (played, asked) in [
        (
            "trumpet_amateur_arpeggio_Bb",
            "trumpet_amateur_chromatic_up",
        ),
        (
            "trumpet_amateur_chromatic_up",
            "trumpet_amateur_arpeggio_Bb",
        ),
        ("trumpet_vsco_chromatic_rs", "trumpet_vsco_arpeggio_F"),
        ("horn_vsco_chromatic_rs", "horn_vsco_scale_F_detuned"),
        ("trombone_vsco_arpeggio_Bb", "trombone_vsco_chromatic_rs"),
        ("trombone_vsco_chromatic_rs", "trombone_vsco_arpeggio_Bb"),
        ("tuba_vsco_chromatic_rs", "tuba_vsco_arpeggio_Bb"),
    ] {
        let Some((input, _)) = take(played) else {
            return;
        };
        let (_, asked_for) = take(asked).unwrap();
        let verdict = reported(&input, Some(&asked_for)).verdict;
        assert!(!verdict.trusted, "{played} for {asked}: {verdict:?}");
    }
}

/// Not in octaves for long: what lies between the harmonics is all that tells two from one.
#[test]
fn two_players_at_once_are_named() {
    for (one, other) in [
        ("trumpet_vsco_scale_Bb_detuned", "horn_vsco_scale_F_detuned"),
        ("trombone_vsco_chromatic_rs", "trumpet_vsco_arpeggio_F"),
        ("trumpet_amateur_chromatic_up", "trumpet_vsco_chromatic_rs"),
    ] {
        let (Some((a, asked)), Some((b, _))) = (take(one), take(other)) else {
            return;
        };
        let both = a.samples.data.iter().zip(b.samples.data.iter());
        let sum: Vec<f32> = both.map(|(a, b)| 0.5 * (a + b)).collect();
        let duet = with(&a, Samples::new(a.samples.rate, sum));
        check(&duet, None, VerdictKind::Several, one);
        check(&duet, Some(&asked), VerdictKind::Several, one);
    }
}

/// What a microphone in a room gives between the notes: the quiet of recorded takes, end to end.
#[test]
fn a_quiet_room_is_silence() {
    let Some((input, asked)) = take("trumpet_amateur_chromatic_up") else {
        return;
    };
    let quiet = input.samples.between(0.0, 0.45).to_vec();
    let room = with(&input, Samples::new(input.samples.rate, quiet.repeat(12)));
    check(
        &room,
        Some(&asked),
        VerdictKind::Silence,
        "the room as it is",
    );
}

/// A voice through an external synthesizer, when there is one.
#[test]
fn speech_is_named() {
    let out = format!("{}/speech.wav", env!("CARGO_TARGET_TMPDIR"));
    let words = "Before you play, breathe in slowly, let the shoulders hang, and think of the sound \
                 that you would like to hear. Then play the first line once more, a little softer, \
                 and listen to the third note, which was rather flat.";
    for voice in ["en", "en+f3", "de"] {
        let spoken = Command::new("espeak-ng")
            .args(["-v", voice, "-w", &out, words])
            .status();
        if !spoken.is_ok_and(|status| status.success()) {
            eprintln!("SKIPPED: espeak-ng is not there, so nobody spoke");
            return;
        }
        let bytes = std::fs::read(&out).expect("it spoke");
        let input = from_bytes(&bytes, &Options::default()).expect("it is sound");
        check(&input, None, VerdictKind::Speech, voice);
        if let Some((_, asked)) = take("trumpet_amateur_scale_Bb") {
            check(&input, Some(&asked), VerdictKind::Speech, voice);
        }
    }
}
