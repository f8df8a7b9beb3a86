//! Every instrument of the catalogue holds together, and a bad file says what is wrong where.

// Helpers of tests may unwrap and panic, as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use horn::{CatalogError, Instrument, NoteKind};
use tone::{Hertz, Sounding, Temperament, Tuning};

#[test]
fn all_instruments_are_there() {
    let ids: Vec<&str> = horn::catalog().iter().map(|i| i.id.as_str()).collect();
    assert_eq!(ids.len(), 20, "{ids:?}");
}

#[test]
fn the_open_tube_comes_first_and_lengths_are_named_once() {
    for instrument in horn::catalog() {
        let first = &instrument.lengths[0];
        assert_eq!(
            (first.ratio, first.semitones),
            (1.0, 0),
            "{}",
            instrument.id
        );
        for (index, length) in instrument.lengths.iter().enumerate() {
            assert_eq!(usize::from(length.id.0), index);
            let named = instrument.length_named(&length.label);
            assert_eq!(
                named.map(|l| l.id),
                Some(length.id),
                "{} {}",
                instrument.id,
                length.label
            );
            let fundamental = Tuning::default().frequency(instrument.fundamental).0;
            assert!((length.fundamental.0 * length.ratio - fundamental).abs() < 1e-9);
        }
    }
}

#[test]
fn the_usual_compass_is_whole_and_playable() {
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for key in instrument.standard_range().unwrap() {
            let first = chart.ways(key).first();
            let first = first.unwrap_or_else(|| panic!("{}: no way to {key}", instrument.id));
            assert_eq!(first.kind, NoteKind::Partial, "{} {key}", instrument.id);
            // Beyond this a player cannot lip it in; the worst of the trade is 1-2-3-4 at 75 + 2.
            assert!(
                first.cents.0.abs() < 80.0,
                "{} {key}: {first:?}",
                instrument.id
            );
        }
    }
}

#[test]
fn stages_widen() {
    for instrument in horn::catalog() {
        for pair in instrument.stages.windows(2) {
            assert!(
                pair[1].floor.midi() <= pair[0].floor.midi(),
                "{}",
                instrument.id
            );
            assert!(
                pair[1].roof.midi() >= pair[0].roof.midi(),
                "{}",
                instrument.id
            );
        }
    }
}

#[test]
fn home_is_written_c5_in_treble_clef() {
    for instrument in horn::catalog() {
        let Some(treble) = instrument.reading("treble") else {
            continue;
        };
        let home = instrument.fundamental.midi()
            + (12.0 * f64::from(instrument.home_partial).log2()).round() as i32;
        let written = treble
            .transposition
            .written(Sounding(tone::Pitch::from_midi(home)));
        assert_eq!(written.to_string(), "C5", "{}", instrument.id);
    }
}

#[test]
fn ranks_run_from_nought_and_every_way_says_why() {
    for instrument in horn::catalog() {
        for (key, ways) in horn::ideal::chart(instrument, &Tuning::default()).notes {
            for (rank, way) in ways.iter().enumerate() {
                assert_eq!(usize::from(way.rank), rank, "{} {key}", instrument.id);
                assert!(!way.reason.is_empty());
                let asked = Tuning::default().equal(key);
                assert!((way.frequency.cents_above(asked).0 - way.cents.0).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn below_the_compass_come_false_notes_and_then_pedals() {
    // Common practice, no source: written F#3 is the lowest of the trumpet's usual compass; false
    // notes go on down to C#3; the pedals begin at C3.
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    let chart = horn::ideal::chart(trumpet, &Tuning::default());
    let kind = |key: i32| chart.ways(key)[0].kind;
    assert_eq!(kind(52), NoteKind::Partial); // written F#3
    for key in 47..52 {
        assert_eq!(kind(key), NoteKind::False, "{key}");
        let way = &chart.ways(key)[0];
        assert_eq!(way.partial, 3);
        assert_eq!(
            way.label,
            chart.ways(key + 12)[0].label,
            "fingered like the octave above"
        );
    }
    for key in 40..47 {
        assert_eq!(kind(key), NoteKind::Pedal, "{key}");
    }
    assert_eq!(chart.range(), Some(40..=89));
}

#[test]
fn a_slide_place_makes_the_note_true() {
    let trombone = horn::catalog::find("trombone-bass").unwrap();
    let tuning = Tuning::new(Hertz(442.0), Temperament::Just { root: 10 }).unwrap();
    let chart = horn::ideal::chart(trombone, &tuning);
    let mut placed = 0;
    for (key, ways) in &chart.notes {
        for way in ways {
            let Some(place) = way.slide_place else {
                continue;
            };
            let length = trombone.length(way.length).unwrap();
            let ratio =
                trombone.mechanism.ratio(length.valves) + ((place - 1.0) / 12.0).exp2() - 1.0;
            let multiple = way.frequency.0 * length.ratio;
            let asked = tuning.frequency(Sounding(tone::Pitch::from_midi(*key)));
            assert!(Hertz(multiple / ratio).cents_above(asked).0.abs() < 1e-6);
            placed += 1;
        }
    }
    assert!(placed > 200);
}

#[test]
fn the_tuning_moves_the_cents() {
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    // Over B-flat, the just third is 13.7 cents low: partial 5 is true.
    let just = Tuning::new(Hertz(440.0), Temperament::Just { root: 10 }).unwrap();
    let open_e = &horn::ideal::chart(trumpet, &just).notes[&74][0];
    assert_eq!((open_e.label.as_str(), open_e.partial), ("0", 5));
    assert!(open_e.cents.0.abs() < 1e-9);
}

fn error(change: impl Fn(&str) -> String) -> CatalogError {
    Instrument::from_toml(&change(horn::catalog::source("trumpet-bflat").unwrap())).unwrap_err()
}

#[test]
fn a_bad_file_says_what_where_and_what_to_do() {
    for (from, to, line, says) in [
        ("format = 1", "format = 9", 3, "this program reads format 1"),
        ("\"Bb2\"", "\"H2\"", 6, "not a pitch"),
        ("\"Bb2\"", "\"Bb7\"", 6, "C0 to C5"),
        (
            "home-partial = 4",
            "home-partial = 40",
            7,
            "2 up to highest-partial",
        ),
        (
            "\"1-2-3\"]",
            "\"1-2-4\"]",
            10,
            "`1-2-4` in `order` is no length",
        ),
        ("semitones = 3", "semitones = 30", 19, "1 to 12 semitones"),
        ("semitones = 3", "semitone = 3", 20, "unknown field"),
        (
            "clef = \"treble\"",
            "clef = \"violin\"",
            25,
            "unknown variant",
        ),
        (
            "floor = \"B3\"",
            "floor = \"B6\"",
            28,
            "give the lower note as floor",
        ),
        (
            "id = \"trumpet-bflat\"",
            "id = \"Mine!\"",
            4,
            "lower-case letters",
        ),
    ] {
        let error = error(|text| text.replacen(from, to, 1));
        let message = error.to_string();
        assert!(message.contains(says), "{from} -> {to}: {message}");
        assert_eq!(error.place().line, line, "{message}");
    }
    assert!(Instrument::from_toml("").is_err());
    assert!(Instrument::from_toml("not a file").is_err());
    assert!(Instrument::from_toml("format = 1\nid = \"\u{1F3BA}").is_err());
}

#[test]
fn rotors_and_valves_do_not_mix() {
    let with = |extra: &str| error(|text| format!("{text}\n{extra}")).to_string();
    assert!(with("[[rotor]]\nsemitones = 5\n").contains("belongs to a [slide]"));
    assert!(with("[slide]\npositions = 7\nreach = 6.25\n").contains("no [[valve]]"));
    assert!(
        with("[thumb]\nlabel = \"T\"\nsemitones = 5\nfirst-from = \"C4\"\n")
            .contains("not shorter")
    );
    let many = "[[valve]]\nsemitones = 1\n".repeat(9);
    assert!(with(&many).contains("more than six valves"));
}
