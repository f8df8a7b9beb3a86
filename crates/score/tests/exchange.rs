//! Exchange files: what is written can be read again, note for note.

#![allow(clippy::unwrap_used)]

mod support;

use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};
use routine::Playback;
use routine::part::{Event, Line, Ticks};
use score::midi;
use score::musicxml::{self, Options};
use support::{B_FLAT, Builder, arpeggios, part, slurs};
use tone::{Hertz, Temperament, Tuning};

fn texts<'a>(document: &'a roxmltree::Document<'_>, name: &str) -> Vec<&'a str> {
    document
        .descendants()
        .filter(|n| n.has_tag_name(name))
        .filter_map(|n| n.text())
        .collect()
}

fn parse(xml: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    roxmltree::Document::parse_with_options(xml, options).unwrap()
}

#[test]
fn every_note_keeps_its_id_pitch_and_fingering() {
    let part = arpeggios();
    let xml = musicxml::write(&part, &Options::default()).unwrap();
    let document = parse(&xml);
    let ids: Vec<&str> = document
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    for note in part.lines.iter().flat_map(Line::notes) {
        assert!(ids.contains(&note.id.as_str()), "{} is missing", note.id);
    }
    let fingerings = texts(&document, "fingering");
    let expected: Vec<&str> = part
        .lines
        .iter()
        .flat_map(Line::notes)
        .map(|n| n.fingering.label.as_str())
        .collect();
    assert_eq!(fingerings, expected);
    assert_eq!(texts(&document, "work-title"), ["Morning arpeggios"]);
}

#[test]
fn measures_of_a_metered_part_are_full() {
    let part = arpeggios();
    let xml = musicxml::write(&part, &Options::default()).unwrap();
    for measure in parse(&xml)
        .descendants()
        .filter(|n| n.has_tag_name("measure"))
    {
        let sum: u32 = measure
            .descendants()
            .filter(|n| n.has_tag_name("duration"))
            .filter_map(|n| n.text()?.parse::<u32>().ok())
            .sum();
        assert_eq!(sum, 3840, "bar {:?}", measure.attribute("number"));
    }
}

#[test]
fn slurs_ties_and_tuplets_open_and_close_in_turn() {
    for part in [arpeggios(), slurs()] {
        let xml = musicxml::write(&part, &Options::default()).unwrap();
        let document = parse(&xml);
        for name in ["slur", "tied", "tuplet", "tie"] {
            let mut open = 0;
            for element in document.descendants().filter(|n| n.has_tag_name(name)) {
                open += if element.attribute("type") == Some("start") {
                    1
                } else {
                    -1
                };
                assert!((0..=1).contains(&open), "{name} at {:?}", element.range());
            }
            assert_eq!(open, 0, "{name}");
        }
    }
}

#[test]
fn titles_in_any_script_come_through() {
    for title in [
        "朝の練習",
        "تمارين الصباح",
        "Übung für <Blech> & \"Holz\"",
        "a\u{0}b\u{1b}c",
    ] {
        let mut part = arpeggios();
        part.title = title.into();
        let xml = musicxml::write(&part, &Options::default()).unwrap();
        let document = parse(&xml);
        let clean: String = title.chars().filter(|c| !c.is_control()).collect();
        assert_eq!(texts(&document, "work-title"), [clean]);
    }
}

#[test]
fn what_cannot_be_written_is_refused_with_its_place() {
    let empty = part(None, Vec::new());
    let error = musicxml::write(&empty, &Options::default()).unwrap_err();
    assert!(error.to_string().contains("Morning arpeggios"), "{error}");

    let odd = part(
        None,
        vec![
            Builder::line(1, "odd", 0, B_FLAT)
                .note("C5", 7, false)
                .done(),
        ],
    );
    let error = musicxml::write(&odd, &Options::default()).unwrap_err();
    assert!(error.to_string().contains("l1n1"), "{error}");

    let mut bad_meter = arpeggios();
    bad_meter.meter = Some((3, 7));
    assert!(musicxml::write(&bad_meter, &Options::default()).is_err());

    let mut endless = arpeggios();
    endless.lines[0].rest_after = Ticks(u32::MAX);
    assert!(musicxml::write(&endless, &Options::default()).is_err());
}

#[test]
fn the_compressed_file_holds_the_same_document() {
    let part = slurs();
    let bytes = musicxml::write_mxl(&part, &Options::default()).unwrap();
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    assert_eq!(archive.by_index(0).unwrap().name().unwrap(), "mimetype");
    let mut score = String::new();
    std::io::Read::read_to_string(&mut archive.by_name("score.musicxml").unwrap(), &mut score)
        .unwrap();
    assert_eq!(score, musicxml::write(&part, &Options::default()).unwrap());
}

/// Key, start tick and pitch bend of every note-on, and the markers.
fn read_midi(bytes: &[u8]) -> (Vec<(u8, u32, i16)>, Vec<String>) {
    let smf = Smf::parse(bytes).unwrap();
    let (mut at, mut bend, mut notes, mut markers) = (0, 0, Vec::new(), Vec::new());
    for event in &smf.tracks[0] {
        at += event.delta.as_int();
        match event.kind {
            TrackEventKind::Midi {
                message: MidiMessage::NoteOn { key, .. },
                ..
            } => {
                notes.push((key.as_int(), at, bend));
            }
            TrackEventKind::Midi {
                message: MidiMessage::PitchBend { bend: b },
                ..
            } => {
                bend = b.as_int();
            }
            TrackEventKind::Meta(MetaMessage::Marker(text)) => {
                markers.push(String::from_utf8(text.to_vec()).unwrap());
            }
            _ => {}
        }
    }
    (notes, markers)
}

#[test]
fn midi_has_every_note_in_sounding_pitch_and_time() {
    for part in [arpeggios(), slurs()] {
        let (notes, markers) = read_midi(&midi::write(&part, &Playback::default()).unwrap());
        let expected: Vec<u8> = part
            .lines
            .iter()
            .flat_map(Line::notes)
            .map(|n| u8::try_from(n.sounding.midi()).unwrap())
            .collect();
        assert_eq!(notes.iter().map(|n| n.0).collect::<Vec<_>>(), expected);
        assert!(notes.iter().all(|n| n.2 == 0));
        assert_eq!(markers.len(), part.lines.len());
        // The notes of the first line stand where its events put them.
        let mut at = 0;
        let mut starts = Vec::new();
        for event in &part.lines[0].events {
            match event {
                Event::Note(note) => {
                    starts.push(at);
                    at += note.duration.0;
                }
                Event::Rest { duration } => at += duration.0,
                Event::Breath => {}
            }
        }
        let found: Vec<u32> = notes.iter().take(starts.len()).map(|n| n.1).collect();
        assert_eq!(found, starts);
    }
}

#[test]
fn tuned_files_bend_by_the_cents_asked_for() {
    // Just intonation over C: the third is 13.686 cents low; 8192 steps are 200 cents.
    let mut part = slurs();
    part.lines.truncate(1);
    let tuning = Tuning {
        a4: Hertz(440.0),
        temperament: Temperament::Just { root: 10 },
    };
    let (notes, _) = read_midi(&midi::write(&part, &Playback::To { tuning }).unwrap());
    let third = notes.iter().find(|n| n.0 == 62).unwrap();
    assert!((f64::from(third.2) * 200.0 / 8192.0 - -13.686).abs() < 0.02);
    let (notes, _) = read_midi(
        &midi::write(
            &part,
            &Playback::AsTheTube {
                tuning: Tuning::default(),
            },
        )
        .unwrap(),
    );
    assert!(
        notes
            .iter()
            .all(|n| (f64::from(n.2) * 200.0 / 8192.0 - -13.7).abs() < 0.02)
    );
}

#[test]
fn a_part_without_notes_says_what_took_them_away() {
    let mut empty = part(Some((4, 4)), Vec::new());
    empty.left_out = vec![routine::part::Omission {
        what: "lines from C5 to A4".into(),
        why: "above the player's roof".into(),
    }];
    let told = musicxml::write(&empty, &Options::default())
        .unwrap_err()
        .to_string();
    assert!(
        told.contains("(lines from C5 to A4: above the player's roof)"),
        "{told}"
    );
    let told = midi::write(&empty, &Playback::default())
        .unwrap_err()
        .to_string();
    assert!(told.contains("above the player's roof"), "{told}");
}
