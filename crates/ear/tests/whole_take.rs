//! From the bytes of a file to the report: takes as asked, takes that are something else.
#![allow(clippy::cast_possible_truncation, clippy::unwrap_used)]

mod support;

use std::process::Command;

use ear::input::{self, Input, Options};
use ear::report::{Asked, Heading, Report, html, of_input, text};
use ear::verdict::VerdictKind;
use ear::{Expected, ExpectedLine, ExpectedNote, TubePartial};
use support::random::Random;
use support::takes::{Builder, Link, Manner, RATE, TROMBONE, TRUMPET, Take};

const TUBE_HZ: f64 = 116.54;

fn wav(sound: &[f64], rate: u32) -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: rate,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let peak = sound.iter().fold(1e-9_f64, |m, x| m.max(x.abs())).max(0.01);
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for x in sound {
        writer.write_sample((x / peak * 16_000.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

fn read(bytes: &[u8]) -> Input {
    input::from_bytes(bytes, &Options::default()).unwrap()
}

fn reported(sound: &[f64], rate: u32, expected: Option<&Expected>) -> Report {
    let heading = Heading {
        title: "Arpeggio under one roof".into(),
        player: "Ada Venn".into(),
        instrument: "trumpet-bflat".into(),
        instrument_name: "Trumpet in B-flat".into(),
        recorded: "2026-11-25 09:00".into(),
    };
    let asked = Asked {
        expected,
        heading,
        ..Asked::default()
    };
    of_input(&read(&wav(sound, rate)), &asked)
}

fn manner(timbre: support::takes::Timbre) -> Manner {
    Manner {
        timbre,
        vibrato_cents: 0.0,
        vibrato_hz: 5.0,
        scoop_cents: 0.0,
        release_s: 0.07,
    }
}

/// Arpeggios up and down, tongued and then slurred, the third partial flat and one slur caught.
fn arpeggios(seed: u64) -> Take {
    let mut b = Builder::new(seed);
    b.silence(1.0);
    for (line, partials) in [[2_u8, 3, 4, 5, 6, 5, 4], [2, 3, 4, 5, 6, 4, 2]]
        .iter()
        .enumerate()
    {
        let nominal: Vec<(f64, f64, u8)> = partials
            .iter()
            .map(|p| (TUBE_HZ * f64::from(*p), 0.5, *p))
            .collect();
        let slurred = line == 1;
        if slurred {
            let notes: Vec<(f64, f64, Option<Link>)> = nominal
                .iter()
                .enumerate()
                .map(|(i, (hz, s, _))| {
                    let link = match i {
                        6 => None,
                        4 => Some(Link::Caught {
                            glide: 0.02,
                            hz: 5.0 * TUBE_HZ,
                            hold: 0.035,
                        }),
                        _ => Some(Link::Clean(0.03, None)),
                    };
                    let off = if partials.get(i) == Some(&3) {
                        -22.0
                    } else {
                        0.0
                    };
                    (*hz * (off / 1200.0_f64).exp2(), *s, link)
                })
                .collect();
            b.phrase(&notes, manner(TRUMPET));
        } else {
            for (hz, s, partial) in &nominal {
                let off = if *partial == 3 { -22.0 } else { 0.0 };
                b.phrase(
                    &[(hz * (off / 1200.0_f64).exp2(), s - 0.06, None)],
                    manner(TRUMPET),
                );
                b.silence(0.06);
            }
        }
        b.expect(&nominal, TUBE_HZ, slurred);
        b.silence(1.5);
    }
    let (mut take, mut random) = b.done();
    let on: Vec<bool> = take.hz.iter().map(|f| *f > 0.0).collect();
    take.sound = support::rooms::add_noise(&take.sound, &on, 40.0, &mut random);
    take
}

/// True when two values are the same, numbers to the last digit but one.
fn same(a: &serde_json::Value, b: &serde_json::Value) -> bool {
    use serde_json::Value;
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            (a - b).abs() <= 1e-14 * a.abs().max(b.abs())
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            let mut pairs = a.iter().zip(b);
            a.len() == b.len() && pairs.all(|((k, a), (l, b))| k == l && same(a, b))
        }
        _ => a == b,
    }
}

fn moved(expected: &Expected, cents: f64) -> Expected {
    let mut moved = expected.clone();
    for note in moved.lines.iter_mut().flat_map(|l| &mut l.notes) {
        let ratio = (cents / 1200.0).exp2();
        note.hz *= ratio;
        note.midi = (69.0 + 12.0 * (note.hz / 440.0).log2()).round() as i32;
        for partial in &mut note.tube {
            partial.hz *= ratio;
        }
    }
    moved
}

#[test]
fn a_take_as_asked_is_measured_and_what_was_put_in_is_found() {
    let take = arpeggios(501);
    let report = reported(&take.sound, RATE as u32, Some(&take.expected));
    assert_eq!(
        report.verdict.kind,
        VerdictKind::AsAsked,
        "{:?}",
        report.verdict
    );
    assert_eq!(report.lines.len(), 2);
    assert_eq!(
        (report.take.asked, report.take.as_asked),
        (14, 14),
        "{:?}",
        report.take
    );
    let flat: Vec<&str> = report.findings.iter().map(|f| f.words.as_str()).collect();
    assert!(
        flat.iter().any(|w| w.starts_with("F4 is flat")),
        "{flat:#?}"
    );
    assert!(report.faults.is_empty(), "{:?}", report.faults);
    // The figures stand in the page and in the text, and the JSON comes back as it was.
    let json = serde_json::to_string(&report).unwrap();
    let back: Report = serde_json::from_str(&json).unwrap();
    let value = |report: &Report| serde_json::to_value(report).unwrap();
    assert!(same(&value(&back), &value(&report)));
    let (page, plain) = (html(&report, None), text(&report));
    for whole in [&page, &plain] {
        assert!(whole.contains("Arpeggio under one roof") && whole.contains("±"));
    }
    assert!(plain.lines().all(|l| l.chars().count() <= 80), "{plain}");
    assert!(!page.contains("<script") && !page.contains("NaN") && !page.contains("http://"));
    let folder = env!("CARGO_TARGET_TMPDIR");
    std::fs::write(format!("{folder}/report.html"), page).unwrap();
    std::fs::write(format!("{folder}/report.txt"), plain).unwrap();
    std::fs::write(format!("{folder}/report.json"), json).unwrap();
}

/// A plain player whose note after note is off by known cents, in a quiet room: every note is heard,
/// off by so much, wherever the recording begins and ends, slurred or tongued.
#[test]
fn every_note_of_a_take_played_right_is_heard() {
    let (lead, off) = (0.8, [0.0, 9.0, -14.0, 5.0, -7.0]);
    for (slurred, cut_s) in [(false, 0.0), (false, 0.11), (true, 0.05), (true, 0.79)] {
        let mut sound = vec![0.0; (lead * RATE) as usize];
        let mut notes = Vec::new();
        let mut phase = 0.0;
        let mut before = 0.0;
        for (i, off) in off.iter().enumerate() {
            let key = [58, 62, 65, 62, 58].get(i).copied().unwrap_or(58);
            let asked = 440.0 * (f64::from(key - 69) / 12.0).exp2();
            let hz = asked * (off / 1200.0_f64).exp2();
            let (into, on) = (slurred && i > 0, slurred && i < 4);
            for k in 0..(0.6 * RATE) as usize {
                let t = k as f64 / RATE;
                let glide = if into { (t / 0.03).min(1.0) } else { 1.0 };
                phase += before_or(before, hz) * (hz / before_or(before, hz)).powf(glide) / RATE;
                let rise = if into { 1.0 } else { (t / 0.025).min(1.0) };
                let fall = if on {
                    1.0
                } else {
                    ((0.56 - t) / 0.05).clamp(0.0, 1.0)
                };
                let wave: f64 = [1.0, 0.8, 0.6, 0.42, 0.3, 0.2, 0.13, 0.08]
                    .iter()
                    .enumerate()
                    .map(|(h, size)| size * (std::f64::consts::TAU * phase * (h + 1) as f64).sin())
                    .sum();
                sound.push(0.09 * rise * fall * wave);
            }
            before = hz;
            notes.push(ExpectedNote {
                id: format!("l1n{}", i + 1),
                midi: key,
                hz: asked,
                start_s: 0.6 * i as f64,
                seconds: 0.6,
                slurred: into,
                ..ExpectedNote::default()
            });
        }
        sound.extend(vec![0.0; (1.2 * RATE) as usize]);
        let mut random = Random::new(511);
        let noise = random.normals(sound.len());
        let cut = (cut_s * RATE) as usize;
        let room = sound.iter().zip(&noise).map(|(x, n)| x + 1e-4 * n);
        let sound: Vec<f64> = room.skip(cut).collect();
        let line = ExpectedLine {
            id: "l1".into(),
            notes,
            ..ExpectedLine::default()
        };
        let asked = Expected { lines: vec![line] };
        let report = reported(&sound, RATE as u32, Some(&asked));
        let heard = &report.lines.first().unwrap().notes;
        assert_eq!(heard.len(), off.len());
        for (note, off) in heard.iter().zip(off) {
            let cents = note.measures.pitch_cents.value();
            assert!(
                cents.is_some_and(|c| (c - off).abs() < 3.0),
                "slurred {slurred}, cut {cut_s}: {} played {off}, heard {cents:?}",
                note.name
            );
        }
    }
}

fn before_or(before: f64, hz: f64) -> f64 {
    if before > 0.0 { before } else { hz }
}

#[test]
fn a_take_that_stops_says_so() {
    let take = arpeggios(512);
    let two = (take.onsets.get(2).copied().unwrap() * RATE) as usize;
    let report = reported(&take.sound[..two], RATE as u32, Some(&take.expected));
    assert_eq!(report.verdict.kind, VerdictKind::AsAsked);
    let words = &report.verdict.words;
    assert!(words.contains("stops after 2 of the 7 notes"), "{words}");
    assert!(words.contains("1 of 2 lines"), "{words}");
}

#[test]
fn names_from_strangers_do_not_become_markup() {
    let mut report = reported(&arpeggios(502).sound, RATE as u32, None);
    report.heading.title = "<script>alert(1)</script>".into();
    assert!(!html(&report, None).contains("<script"));
}

#[test]
fn a_take_without_a_score_is_free() {
    let report = reported(&arpeggios(503).sound, RATE as u32, None);
    assert_eq!(report.verdict.kind, VerdictKind::Free);
    assert!(
        report.other_notes.len() >= 12,
        "{}",
        report.other_notes.len()
    );
}

#[test]
fn silence_and_noise_are_named() {
    let expected = arpeggios(504).expected;
    let silence = reported(&vec![0.0; 3 * 44_100], 44_100, Some(&expected));
    assert_eq!(silence.verdict.kind, VerdictKind::Silence);
    assert_eq!(text(&silence).matches("not muted").count(), 1, "said once");
    let noise = Random::new(504).normals(5 * 44_100);
    let noise = reported(&noise, 44_100, Some(&expected));
    assert_eq!(
        noise.verdict.kind,
        VerdictKind::Noise,
        "{:?}",
        noise.verdict
    );
    assert!(noise.findings.is_empty());
}

#[test]
fn another_transposition_an_octave_and_a_lying_rate_are_named() {
    let take = arpeggios(505);
    for (cents, kind) in [
        (200.0, VerdictKind::Moved),
        (-700.0, VerdictKind::Moved),
        (1_200.0, VerdictKind::OctaveOff),
        (-1_200.0, VerdictKind::OctaveOff),
    ] {
        let asked = moved(&take.expected, cents);
        let report = reported(&take.sound, 44_100, Some(&asked));
        assert_eq!(report.verdict.kind, kind, "{cents}: {:?}", report.verdict);
        assert!(report.findings.is_empty());
        let sure = report
            .verdict
            .grounds
            .iter()
            .find(|g| g.what.starts_with("how sure"));
        assert!(sure.is_some_and(|g| g.value > 0.99), "{:?}", report.verdict);
        let named = match cents as i32 {
            200 => "a part in C played on an instrument in B-flat",
            -700 => "a part for E-flat played on an instrument in B-flat",
            _ => "octave",
        };
        assert!(report.verdict.words.contains(named), "{:?}", report.verdict);
    }
    // Made at 44,100, said to be 48,000: 147 cents high.
    let report = reported(&take.sound, 48_000, Some(&take.expected));
    assert_eq!(
        report.verdict.kind,
        VerdictKind::RateLie,
        "{:?}",
        report.verdict
    );
}

#[test]
fn another_exercise_is_named() {
    let take = arpeggios(506);
    let steps = [0, 1, 3, 4, 6, 7, 9, 10, 9, 7, 6, 4, 3, 1];
    let notes = steps.iter().enumerate().map(|(i, step)| ExpectedNote {
        id: format!("l1n{}", i + 1),
        midi: 61 + step,
        hz: 440.0 * (f64::from(61 + step - 69) / 12.0).exp2(),
        start_s: 0.5 * i as f64,
        seconds: 0.5,
        slurred: false,
        partial: 0,
        tube: vec![TubePartial {
            partial: 1,
            hz: 110.0,
        }],
    });
    let asked = Expected {
        lines: vec![ExpectedLine {
            id: "l1".into(),
            notes: notes.collect(),
            ..ExpectedLine::default()
        }],
    };
    let report = reported(&take.sound, 44_100, Some(&asked));
    assert_eq!(
        report.verdict.kind,
        VerdictKind::OtherExercise,
        "{:?}",
        report.verdict
    );
    assert!(!report.verdict.trusted);
}

/// A voice-like sound: syllables of 150 to 300 ms whose pitch never stands still.
#[test]
fn a_gliding_voice_is_named() {
    let mut random = Random::new(507);
    let mut hz = Vec::new();
    for _ in 0..25 {
        let (from, to) = (random.between(100.0, 180.0), random.between(80.0, 200.0));
        let count = (random.between(0.15, 0.3) * RATE) as usize;
        hz.extend((0..count).map(|i| from + (to - from) * i as f64 / count as f64));
        hz.extend(vec![0.0; (0.08 * RATE) as usize]);
    }
    let mut phase = 0.0;
    let sound: Vec<f64> = hz
        .iter()
        .map(|f| {
            phase += f / RATE;
            let wave = |h: i32| (std::f64::consts::TAU * f64::from(h) * phase).sin() / f64::from(h);
            if *f > 0.0 {
                (1..=20).map(wave).sum::<f64>()
            } else {
                0.0
            }
        })
        .collect();
    let report = reported(&sound, 44_100, None);
    assert_eq!(
        report.verdict.kind,
        VerdictKind::Speech,
        "{:?}",
        report.verdict
    );
}

#[test]
fn two_players_at_once_are_named() {
    let one = |seed: u64, root: f64, timbre| {
        let mut b = Builder::new(seed);
        b.silence(0.5);
        for step in [0, 2, 4, 5, 7, 5, 4, 2] {
            let hz = root * (f64::from(step) / 12.0).exp2();
            b.phrase(&[(hz, 0.7, None)], manner(timbre));
            b.silence(0.1);
        }
        b.silence(0.5);
        b.done().0.sound
    };
    let (a, b) = (one(508, 233.08, TRUMPET), one(509, 207.65, TROMBONE));
    let sound: Vec<f64> = a.iter().zip(&b).map(|(a, b)| a + b).collect();
    let report = reported(&sound, 44_100, None);
    assert_eq!(
        report.verdict.kind,
        VerdictKind::Several,
        "{:?}",
        report.verdict
    );
}

/// A piano through an external synthesizer, when there is one with a General MIDI sound font.
#[test]
fn a_piano_is_named() {
    let font = "/usr/share/sounds/sf2/FluidR3_GM.sf2";
    let there = Command::new("fluidsynth").arg("--version").output().is_ok();
    if !there || !std::path::Path::new(font).exists() {
        eprintln!(
            "SKIPPED: fluidsynth with fluid-soundfont-gm is not there, so no piano was heard"
        );
        return;
    }
    let folder = env!("CARGO_TARGET_TMPDIR");
    let (midi, out) = (format!("{folder}/piano.mid"), format!("{folder}/piano.wav"));
    std::fs::write(&midi, piano_file()).unwrap();
    let done = Command::new("fluidsynth")
        .args([
            "-ni", "-g", "0.8", "-r", "44100", "-R", "0", "-C", "0", "-F", &out, font, &midi,
        ])
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
    let report = of_input(&read(&std::fs::read(&out).unwrap()), &Asked::default());
    assert_eq!(
        report.verdict.kind,
        VerdictKind::Struck,
        "{:?}",
        report.verdict
    );
}

/// A scale of crotchets at 60 on program 0.
fn piano_file() -> Vec<u8> {
    let mut track: Vec<u8> = vec![0, 0xff, 0x51, 3, 0x0f, 0x42, 0x40, 0, 0xc0, 0];
    for key in [60_u8, 62, 64, 65, 67, 65, 64, 62, 60] {
        track.extend([0, 0x90, key, 90, 0x83, 0x60, 0x80, key, 0]);
    }
    track.extend([0, 0xff, 0x2f, 0]);
    let mut file = b"MThd\0\0\0\x06\0\0\0\x01\x01\xe0MTrk".to_vec();
    file.extend((track.len() as u32).to_be_bytes());
    file.extend(track);
    file
}
