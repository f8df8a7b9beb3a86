//! A part as sound: times, tuning, slurs without a gap, rests, count-in, drone, WAV.

#![allow(clippy::unwrap_used)] // helpers of tests may unwrap

mod common;

use common::{between, component, frequency, line, notes, part, quarter, rms_db, sharpest};
use routine::part::{Articulation, Dynamic, Event, Ticks};
use tone::{Cents, Hertz, Tuning};
use voice::wav::{Depth, encode};
use voice::{Audio, Playback, Rate, Settings, Stack, VoiceError, level_dbfs};

const RATE: f64 = 48_000.0;

fn render(part: &routine::part::Part, settings: Settings) -> Audio {
    voice::part(part, &settings, Rate::default()).unwrap()
}

fn cents(a: f64, b: f64) -> f64 {
    1200.0 * (a / b).log2()
}

#[test]
fn notes_sound_at_their_times_and_rests_are_silent() {
    let mut events = notes(&["Bb2", "D3"], false);
    events.push(Event::Rest {
        duration: Ticks(960),
    });
    events.extend(notes(&["F3"], false));
    let audio = render(&part(vec![line(events)]), Settings::default());
    assert!((audio.seconds() - 8.1).abs() < 1e-3);
    for (start, hz) in [(0.0, 116.541), (1.0, 146.832), (3.0, 174.614)] {
        let got = frequency(between(&audio, start + 0.1, start + 0.9), RATE, hz);
        assert!(cents(got, hz).abs() < 0.1, "{got} for {hz}");
        let level = rms_db(between(&audio, start + 0.1, start + 0.9));
        assert!((level - level_dbfs(Dynamic::Mf)).abs() < 0.2);
    }
    // The gap before a tongued note, the rest, and the rest after the line.
    for (from, to) in [(0.96, 0.999), (2.0, 2.999), (4.0, 8.0)] {
        assert!(
            between(&audio, from, to).iter().all(|x| *x == 0.0),
            "{from}"
        );
    }
    assert_eq!(audio.marks.len(), 3);
    assert!((audio.marks[2].start_s - 3.0).abs() < 1e-12);
}

#[test]
fn a_slur_has_no_gap_and_no_click() {
    let names = ["Bb2", "F3", "D4", "Bb2"];
    let audio = render(&part(vec![line(notes(&names, true))]), Settings::default());
    let steady = [0.5, 1.5, 2.5, 3.5].map(|at| sharpest(between(&audio, at - 0.3, at + 0.3)));
    for (index, at) in [1.0, 2.0, 3.0].into_iter().enumerate() {
        let around = between(&audio, at - 0.05, at + 0.08);
        let allowed = steady[index].max(steady[index + 1]) * 1.1;
        assert!(
            sharpest(around) < allowed,
            "at {at}: {} {allowed}",
            sharpest(around)
        );
        // Whole pieces of 25 ms: nearly three periods of the lowest note.
        for piece in around.chunks_exact(1_200) {
            assert!(
                rms_db(piece) > level_dbfs(Dynamic::Mf) - 2.0,
                "a dip at {at}"
            );
        }
    }
    for (start, hz) in [(1.1, 174.614), (2.1, 293.665)] {
        let got = frequency(between(&audio, start, start + 0.8), RATE, hz);
        assert!(cents(got, hz).abs() < 0.1);
    }
}

#[test]
fn nothing_clicks_whatever_the_articulation() {
    let mut events = Vec::new();
    for (index, articulation) in [
        Articulation::Plain,
        Articulation::Accent,
        Articulation::Staccato,
        Articulation::Tenuto,
        Articulation::Accent,
    ]
    .into_iter()
    .cycle()
    .take(20)
    .enumerate()
    {
        let mut note = quarter(["Bb2", "D3", "F3"][index % 3]);
        note.duration = Ticks([960, 480, 120, 40][index % 4]);
        note.articulation = articulation;
        note.slurred = index % 2 == 1;
        note.dynamic = Some([Dynamic::Pp, Dynamic::Ff, Dynamic::Mf][index % 3]);
        events.push(Event::Note(note));
        if index % 7 == 6 {
            events.push(Event::Breath);
        }
    }
    let audio = render(&part(vec![line(events)]), Settings::default());
    // The steepest that a held fortissimo note of these gets, accents included.
    let loudest = voice::note(Hertz(174.614), 1.0, Dynamic::Ff, Rate::default()).unwrap();
    let accent = 10.0_f64.powf(4.0 / 20.0) * 1.5;
    assert!(sharpest(&audio.samples) < sharpest(between(&loudest, 0.1, 0.9)) * accent);
}

#[test]
fn playback_follows_the_tuning_asked_for() {
    let mut third = quarter("D3");
    third.fingering.cents = Cents(-13.686);
    let one = part(vec![line(vec![Event::Note(third)])]);
    let tempered = 146.832_384;
    let a4 = Hertz(440.0);
    for (playback, off) in [
        (Playback::default(), 0.0),
        (Playback::OverRoot { a4 }, -13.686),
        (Playback::OverRoot { a4: Hertz(442.0) }, -13.686 + 7.851),
        (
            Playback::AsTheTube {
                tuning: Tuning::default(),
            },
            -13.686,
        ),
    ] {
        let settings = Settings {
            playback,
            ..Settings::default()
        };
        let audio = render(&one, settings);
        let got = frequency(between(&audio, 0.1, 0.9), RATE, tempered);
        assert!((cents(got, tempered) - off).abs() < 0.1, "{playback:?}");
        assert!((audio.marks[0].frequency.0 - got).abs() < 0.01);
    }
}

#[test]
fn a_count_in_comes_before_the_first_line_and_within_the_rest_before_others() {
    let one = line(notes(&["Bb2"], false));
    let two = part(vec![one.clone(), one]);
    let plain = render(&two, Settings::default());
    let counted = render(
        &two,
        Settings {
            count_in: true,
            ..Settings::default()
        },
    );
    // Four beats more at the start; the second bar of clicks lies in the four seconds of rest.
    assert!((counted.seconds() - plain.seconds() - 4.0).abs() < 1e-3);
    let starts: Vec<f64> = counted.marks.iter().map(|m| m.start_s).collect();
    assert_eq!(starts, [4.0, 9.0]);
    for beat in [0.0, 1.0, 2.0, 3.0, 5.0, 6.0, 7.0, 8.0] {
        assert!(
            rms_db(between(&counted, beat, beat + 0.05)) > -40.0,
            "{beat}"
        );
        assert!(
            between(&counted, beat + 0.1, beat + 0.9)
                .iter()
                .all(|x| *x == 0.0)
        );
    }
    // A rest too short for a bar keeps its length and has no clicks.
    let mut short = line(notes(&["Bb2"], false));
    short.rest_after = Ticks(960);
    let short = render(
        &part(vec![short.clone(), short]),
        Settings {
            count_in: true,
            ..Settings::default()
        },
    );
    assert!(between(&short, 5.0, 5.9).iter().all(|x| *x == 0.0));
}

#[test]
fn clicks_fall_on_beats_and_the_first_is_higher() {
    let settings = Settings {
        click: true,
        without_notes: true,
        ..Settings::default()
    };
    let audio = render(&part(vec![line(notes(&["Bb2"; 5], false))]), settings);
    assert!(audio.marks.is_empty());
    for (beat, hz, other) in [
        (0.0, 1567.98, 1046.5),
        (1.0, 1046.5, 1567.98),
        (4.0, 1567.98, 1046.5),
    ] {
        let piece = between(&audio, beat, beat + 0.06);
        assert!(component(piece, RATE, hz).0 > 2.0 * component(piece, RATE, other).0);
    }
    assert!(between(&audio, 5.0, 8.0).iter().all(|x| *x == 0.0));
}

#[test]
fn a_drone_holds_the_root_of_its_line() {
    let settings = Settings {
        drone: Some(Stack::Fifth),
        without_notes: true,
        playback: Playback::OverRoot { a4: Hertz(440.0) },
        ..Settings::default()
    };
    let audio = render(&part(vec![line(notes(&["D3"; 4], false))]), settings);
    let steady = between(&audio, 0.5, 3.5);
    for hz in [116.540_94, 116.540_94 * 1.5] {
        assert!(cents(frequency(steady, RATE, hz), hz).abs() < 0.1);
    }
    assert!(between(&audio, 4.0, 8.0).iter().all(|x| *x == 0.0));
    assert!(sharpest(&audio.samples) <= sharpest(steady) * 1.05);
}

#[test]
fn the_same_part_gives_the_same_bytes() {
    let part = part(vec![line(notes(&["Bb2", "D3", "F3"], true))]);
    let settings = Settings {
        click: true,
        count_in: true,
        drone: Some(Stack::Fifth),
        ..Settings::default()
    };
    let first = encode(&render(&part, settings), Depth::Sixteen).unwrap();
    assert_eq!(
        first,
        encode(&render(&part, settings), Depth::Sixteen).unwrap()
    );
}

#[test]
fn a_wav_file_reads_back() {
    let audio = voice::note(Hertz(440.0), 0.25, Dynamic::Ff, Rate::new(44_100).unwrap()).unwrap();
    for (depth, tolerance) in [
        (Depth::Sixteen, 2e-5),
        (Depth::TwentyFour, 1e-7),
        (Depth::Float, 0.0),
    ] {
        let bytes = encode(&audio, depth).unwrap();
        let mut reader = hound::WavReader::new(bytes.as_slice()).unwrap();
        let spec = reader.spec();
        assert_eq!((spec.channels, spec.sample_rate), (1, 44_100));
        let samples: Vec<f64> = match spec.sample_format {
            hound::SampleFormat::Float => {
                reader.samples::<f32>().map(|s| s.unwrap().into()).collect()
            }
            hound::SampleFormat::Int => {
                let full = f64::from((1_i32 << (spec.bits_per_sample - 1)) - 1);
                reader
                    .samples::<i32>()
                    .map(|s| f64::from(s.unwrap()) / full)
                    .collect()
            }
        };
        assert_eq!(samples.len(), audio.samples.len());
        for (got, sample) in samples.iter().zip(&audio.samples) {
            assert!((got - f64::from(*sample)).abs() <= tolerance);
        }
    }
}

#[test]
fn a_loud_mix_is_turned_down_as_a_whole() {
    let mut events = notes(&["Bb2"; 4], false);
    for event in &mut events {
        if let Event::Note(note) = event {
            note.dynamic = Some(Dynamic::Ff);
            note.articulation = Articulation::Accent;
        }
    }
    let settings = Settings {
        click: true,
        drone: Some(Stack::FifthAndOctave),
        ..Settings::default()
    };
    let audio = render(&part(vec![line(events)]), settings);
    let peak = audio.samples.iter().fold(0.0_f32, |a, b| a.max(b.abs()));
    assert!(peak <= 0.981, "{peak}");
    assert!(audio.gain_db <= 0.0);
}

#[test]
fn bad_parts_are_refused_or_empty() {
    let empty = render(
        &part(Vec::new()),
        Settings {
            count_in: true,
            ..Settings::default()
        },
    );
    assert!(empty.samples.iter().all(|x| *x == 0.0) && empty.seconds() < 1.0);
    for tempo in [0.0, -60.0, f64::NAN, f64::INFINITY, 1e9] {
        let mut bad = line(notes(&["Bb2"], false));
        bad.tempo = tempo;
        let error =
            voice::part(&part(vec![bad]), &Settings::default(), Rate::default()).unwrap_err();
        assert!(matches!(error, VoiceError::Tempo { .. }), "{error}");
    }
    let mut long = line(notes(&["Bb2"], false));
    long.rest_after = Ticks(u32::MAX);
    let error = voice::part(&part(vec![long]), &Settings::default(), Rate::default()).unwrap_err();
    assert!(matches!(error, VoiceError::Long { .. }));
    let mut high = line(notes(&["C9"], false));
    high.events.extend(notes(&["C10"], false));
    let error = voice::part(
        &part(vec![high]),
        &Settings::default(),
        Rate::new(8_000).unwrap(),
    )
    .unwrap_err();
    assert!(matches!(error, VoiceError::Frequency { .. }));
    let mut blank = quarter("Bb2");
    blank.duration = Ticks(0);
    render(
        &part(vec![line(vec![
            Event::Breath,
            Event::Note(blank),
            Event::Breath,
        ])]),
        Settings::default(),
    );
}
