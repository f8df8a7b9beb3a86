//! Import: our own exports come back note for note; other shapes of file are read or refused.
#![allow(clippy::unwrap_used)]

mod support;

use horn::{LengthId, NoteKind};
use routine::part::{Event, Fingered, Line, Note, Part};
use score::Error;
use score::musicxml::{self, ImportedNote, Options};
use support::{arpeggios, slurs};
use tone::{Cents, Clef, Interval};

fn by_label(note: &ImportedNote) -> Fingered {
    Fingered {
        length: LengthId(0),
        label: note.fingering.clone(),
        partial: 4,
        cents: Cents(0.0),
        alternate: false,
        kind: NoteKind::Partial,
        reason: String::new(),
    }
}

fn import(part: &Part, bytes: &[u8]) -> Part {
    let read = musicxml::read(bytes, None).unwrap();
    assert_eq!(read.remarks, Vec::<String>::new());
    read.into_part(&part.instrument, &part.instrument_name, by_label)
}

#[test]
fn our_own_files_come_back_note_for_note() {
    let same = |a: &Note, b: &Note| {
        assert_eq!(
            (
                a.written,
                a.sounding,
                a.duration,
                a.slurred,
                a.articulation,
                a.dynamic
            ),
            (
                b.written,
                b.sounding,
                b.duration,
                b.slurred,
                b.articulation,
                b.dynamic
            ),
        );
        assert_eq!((&a.id, &a.fingering.label), (&b.id, &b.fingering.label));
    };
    for part in [arpeggios(), slurs()] {
        let plain = musicxml::write(&part, &Options::default()).unwrap();
        let packed = musicxml::write_mxl(&part, &Options::default()).unwrap();
        let wide: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain(plain.encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        for bytes in [plain.as_bytes(), &packed, &wide] {
            let read = import(&part, bytes);
            assert_eq!(
                (&read.title, read.clef, read.meter),
                (&part.title, part.clef, part.meter)
            );
            assert_eq!(read.transposition, part.transposition);
            assert_eq!(read.lines.len(), part.lines.len());
            for (a, b) in read.lines.iter().zip(&part.lines) {
                assert_eq!(a.notes().count(), b.notes().count(), "{}", b.id);
                a.notes().zip(b.notes()).for_each(|(a, b)| same(a, b));
                assert_eq!((a.key, a.tempo.to_bits()), (b.key, b.tempo.to_bits()));
                let breaths = |l: &Line| l.events.iter().filter(|e| **e == Event::Breath).count();
                assert_eq!(breaths(a), breaths(b));
            }
        }
    }
}

/// A one-part score around these measures.
fn score(measures: &str) -> String {
    format!(
        r#"<?xml version="1.0"?><!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd"><score-partwise><part-list><score-part id="P1"><part-name>Horn in F</part-name></score-part></part-list><part id="P1">{measures}</part></score-partwise>"#
    )
}

const HEAD: &str = "<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>2</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef><transpose><chromatic>-7</chromatic></transpose></attributes>";

fn note(step: &str, duration: u32, more: &str) -> String {
    format!(
        "<note><pitch><step>{step}</step><octave>3</octave></pitch><duration>{duration}</duration>{more}</note>"
    )
}

#[test]
fn other_exporters_shapes_are_understood() {
    let tie = |kind: &str| format!(r#"<tie type="{kind}"/>"#);
    let file = score(&format!(
        "<measure number=\"1\">{HEAD}{}{}</measure><measure number=\"2\">{}{}<note><grace/><pitch><step>B</step><octave>3</octave></pitch></note>{}<backup><duration>4</duration></backup>{}</measure>",
        note("C", 2, ""),
        note("D", 2, &tie("start")),
        note("D", 2, &tie("stop")),
        note("E", 2, ""),
        note("G", 2, "").replace("<note>", "<note><chord/>"),
        note("A", 4, "<voice>2</voice>"),
    ));
    let read = musicxml::read(file.as_bytes(), None).unwrap();
    assert_eq!(read.transposition.0, Interval::new(-4, -7));
    assert_eq!((read.clef, read.meter), (Clef::Bass, Some((2, 4))));
    assert_eq!(read.remarks.len(), 3, "{:?}", read.remarks);
    let part = read.into_part("horn-f", "Horn in F", by_label);
    let notes: Vec<(String, u32)> = part.lines[0]
        .notes()
        .map(|n| (n.written.to_string(), n.duration.0))
        .collect();
    let expected = [("C3", 960), ("D3", 1920), ("G3", 960)];
    assert_eq!(
        notes,
        expected.map(|(name, ticks)| (name.to_owned(), ticks))
    );
}

#[test]
fn repeats_are_played_out() {
    let repeat = r#"<barline location="right"><repeat direction="backward"/></barline>"#;
    let file = score(&format!(
        "<measure number=\"1\">{HEAD}{}{repeat}</measure><measure number=\"2\">{}</measure>",
        note("C", 4, ""),
        note("D", 4, "")
    ));
    let read = musicxml::read(file.as_bytes(), None).unwrap();
    let part = read.into_part("horn-f", "Horn in F", by_label);
    let all: Vec<String> = part
        .lines
        .iter()
        .flat_map(Line::notes)
        .map(|n| n.written.to_string())
        .collect();
    assert_eq!(all, ["C3", "C3", "D3"]);
}

#[test]
fn what_is_not_a_part_is_refused_in_words() {
    let two = r#"<score-partwise><part-list><score-part id="P1"><part-name>First</part-name></score-part><score-part id="P2"><part-name>Second</part-name></score-part></part-list><part id="P1"/><part id="P2"/></score-partwise>"#;
    for (bytes, expected) in [
        (&b"not xml"[..], "not a MusicXML part"),
        (b"", "not a MusicXML part"),
        (b"\xff\xff\xff", "UTF-8"),
        (b"<html/>", "<html>"),
        (b"<score-timewise/>", "timewise"),
        (two.as_bytes(), "P1 (First), P2 (Second)"),
        (b"PK\x03\x04broken", ".mxl"),
        (
            b"<score-partwise><part id=\"P1\"/></score-partwise>",
            "no notes",
        ),
    ] {
        let error = musicxml::read(bytes, None).unwrap_err().to_string();
        assert!(error.contains(expected), "{error} lacks {expected}");
    }
    let error = musicxml::read(two.as_bytes(), Some("Third")).unwrap_err();
    assert!(matches!(error, Error::NotMusicXml { .. }));
}

proptest::proptest! {
    /// Damage anywhere in a file is an error or a part, never a panic.
    #[test]
    fn damaged_files_never_panic(at in 0_usize..6000, byte in proptest::num::u8::ANY, cut in 0_usize..6000) {
        let file = musicxml::write(&slurs(), &Options::default()).unwrap();
        let mut bytes = file.into_bytes();
        if let Some(slot) = bytes.get_mut(at) {
            *slot = byte;
        }
        bytes.truncate(cut.max(100));
        let _ = musicxml::read(&bytes, None);
    }
}
