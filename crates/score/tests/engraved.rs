//! Engraved pages: every note is there under its id, text stays on the page, the PDF says what
//! it shows.
#![cfg(feature = "engrave")]
#![allow(clippy::unwrap_used)]

mod support;

use routine::part::{Dynamic, Event, Line, Part};
use score::booklet::{Booklet, Chapter};
use score::engrave;
use score::heard::{NoteMark, tint};
use score::layout::{Fingerings, Layout, Paper};
use support::ink::{check_texts, tree};
use support::{B_FLAT, Builder, arpeggios, part, slurs};
use tone::Language;

fn ids(part: &Part) -> Vec<String> {
    part.lines
        .iter()
        .flat_map(Line::notes)
        .map(|n| n.id.clone())
        .collect()
}

#[test]
fn every_note_is_on_a_page_under_its_id_and_text_stays_in_place() {
    for part in [arpeggios(), slurs()] {
        for layout in [
            Layout::default(),
            Layout {
                paper: Paper::Letter,
                ..Layout::default()
            }
            .large_print(),
        ] {
            let pages = engrave::svg_pages(&part, &layout).unwrap();
            let all = pages.concat();
            for id in ids(&part) {
                assert_eq!(
                    all.matches(&format!(r#"id="{id}" class="note""#)).count(),
                    1,
                    "{id}"
                );
            }
            for page in &pages {
                check_texts(page);
                assert!(page.contains("<title>") && page.contains("<desc>"));
            }
            assert!(all.contains("Morning arpeggios") || all.contains("Lip slurs"));
        }
    }
}

#[test]
fn a_short_part_takes_one_page_and_is_drawn_the_same_twice() {
    let part = slurs();
    let first = engrave::svg_pages(&part, &Layout::default()).unwrap();
    assert_eq!(first.len(), 1);
    assert_eq!(
        first,
        engrave::svg_pages(&part, &Layout::default()).unwrap()
    );
}

#[test]
fn fingerings_stand_where_they_are_asked_for() {
    let part = arpeggios();
    let count = |fingerings| {
        let layout = Layout {
            fingerings,
            ..Layout::default()
        };
        let pages = engrave::svg_pages(&part, &layout).unwrap().concat();
        pages.matches(r#"class="fingering""#).count()
    };
    assert_eq!(count(Fingerings::Always), ids(&part).len());
    assert_eq!(count(Fingerings::Never), 0);
    let unusual = part
        .lines
        .iter()
        .flat_map(Line::notes)
        .filter(|n| n.fingering.alternate || n.fingering.kind != horn::NoteKind::Partial);
    assert_eq!(count(Fingerings::Unusual), unusual.count());
}

#[test]
fn fingerings_of_one_exercise_all_stand_the_same_way() {
    const QUARTER: u32 = 960;
    let wide = |number| {
        Builder::line(number, "", 0, B_FLAT)
            .note("C#5", 4 * QUARTER, false)
            .done()
    };
    let crowded = Builder::line(2, "", 0, B_FLAT)
        .notes(&"C#5 F#5 ".repeat(16), QUARTER / 4)
        .done();
    let side_by_side = |lines| {
        let pages = engrave::svg_pages(&part(Some((4, 4)), lines), &Layout::default());
        pages.unwrap().concat().contains(">2-3<")
    };
    assert!(side_by_side(vec![wide(1)]));
    assert!(!side_by_side(vec![wide(1), crowded]));
}

#[test]
fn a_tie_over_a_barline_is_drawn_for_altered_notes_too_and_their_sign_once() {
    let drawn = |pitch: &str| {
        let line = Builder::line(1, "", 0, B_FLAT)
            .note(pitch, 7680, false)
            .done();
        let pages = engrave::svg_pages(&part(Some((4, 4)), vec![line]), &Layout::default());
        pages.unwrap().concat()
    };
    let sign = |svg: &str| svg.matches("xlink:href=\"#smufl-E26").count();
    for (pitch, signs) in [("B4", 0), ("Bb4", 1), ("F#4", 1)] {
        let svg = drawn(pitch);
        assert_eq!(svg.matches(r#"class="tie""#).count(), 1, "{pitch}");
        assert_eq!(sign(&svg), signs, "{pitch}");
    }
}

#[test]
fn a_dynamic_mark_is_said_again_only_where_another_came_between() {
    let marks = |of: &[Dynamic]| {
        let lines = of.iter().enumerate().map(|(index, mark)| {
            let mut line = Builder::line(index + 1, "", 0, B_FLAT)
                .note("C4", 1920, false)
                .note("E4", 1920, false)
                .done();
            if let Some(Event::Note(first)) = line.events.first_mut() {
                first.dynamic = Some(*mark);
            }
            line
        });
        let part = part(None, lines.collect());
        let drawn = |svg: &str| svg.matches(r#"class="dynam""#).count();
        let pages = engrave::svg_pages(&part, &Layout::default()).unwrap();
        let alone = engrave::svg_lines(&part, &Layout::default()).unwrap();
        let alone: Vec<usize> = alone.iter().map(|(_, svg)| drawn(svg)).collect();
        (drawn(&pages.concat()), alone)
    };
    use Dynamic::{Mf, P};
    assert_eq!(marks(&[Mf, Mf, Mf]), (1, vec![1, 1, 1]));
    assert_eq!(marks(&[Mf, P, Mf]), (3, vec![1, 1, 1]));
}

#[test]
fn one_line_by_itself_holds_its_own_notes() {
    let part = arpeggios();
    let lines = engrave::svg_lines(&part, &Layout::default()).unwrap();
    assert_eq!(lines.len(), part.lines.len());
    for (line, (id, svg)) in part.lines.iter().zip(&lines) {
        assert_eq!(&line.id, id);
        assert_eq!(svg.matches(r#"class="note""#).count(), {
            svg.matches(&format!(r#"id="{id}n"#)).count()
        });
        check_texts(svg);
    }
}

#[test]
fn what_was_heard_colours_notes_and_stands_above_them() {
    let part = arpeggios();
    let layout = Layout {
        captions: true,
        ..Layout::default()
    };
    let pages = engrave::svg_pages(&part, &layout).unwrap();
    let marks: Vec<NoteMark> = ids(&part)
        .into_iter()
        .enumerate()
        .map(|(index, id)| NoteMark {
            id,
            cents: Some(index as f64 * 3.0 - 20.0),
            caught: if index == 2 { vec![5] } else { Vec::new() },
            ..NoteMark::default()
        })
        .collect();
    let heard: Vec<String> = pages
        .iter()
        .map(|page| tint(page, &marks, Language::En).unwrap())
        .collect();
    let all = heard.concat();
    assert!(all.contains("↓20") && all.contains("caught partial 5"));
    for page in &heard {
        let _ = tree(page);
    }
}

#[test]
fn the_pdf_has_its_pages() {
    let (one, two) = (arpeggios(), slurs());
    let layout = Layout::default();
    let pdf = engrave::pdf(&[&one, &two], &layout).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    let book = Booklet {
        title: "Year one",
        subtitle: "Mixed brass, Tuesday group",
        player: "Mira Sandoval",
        chart: None,
        chapters: vec![
            Chapter::plain(vec![&one]),
            Chapter {
                heading: "Slurs",
                parts: vec![&two],
            },
        ],
    };
    let pages = engrave::booklet(&book, &layout).unwrap();
    assert!(pages.len() > pdf.len());
    let set = engrave::class_set(&[book.clone(), book], &layout).unwrap();
    assert!(set.len() > pages.len());
}

#[test]
fn hard_titles_and_long_parts_come_out_or_are_refused() {
    let layout = Layout::default();
    let mut long = arpeggios();
    long.title = "Arpeggios that go on and on ".repeat(8);
    long.title.truncate(200);
    long.player = "Somebody with a name of some length ".repeat(4);
    for page in engrave::svg_pages(&long, &layout).unwrap() {
        check_texts(&page);
    }
    engrave::pdf(&[&long], &layout).unwrap();

    let mut unknown = arpeggios();
    unknown.title = "\u{10ffff} private".into();
    let error = engrave::pdf(&[&unknown], &layout).unwrap_err();
    assert!(error.to_string().contains('\u{10ffff}'), "{error}");

    assert!(engrave::svg_pages(&part(None, Vec::new()), &layout).is_err());
    assert!(engrave::pdf(&[], &layout).is_err());
}

#[test]
fn ledger_lines_far_out_stay_on_the_page() {
    let line = Builder::line(1, "far", 0, B_FLAT)
        .notes("E3 D3 C3 E6 G6 A6", 960)
        .note("C3", 3840, false)
        .done();
    let part = part(Some((4, 4)), vec![line]);
    let pages = engrave::svg_pages(&part, &Layout::default()).unwrap();
    assert_eq!(pages.len(), 1);
    check_texts(&pages[0]);
}

#[test]
fn a_thousand_lines_flow_over_pages() {
    let lines = (1..=1000)
        .map(|n| {
            Builder::line(n, "", 0, B_FLAT)
                .notes("C4 E4 G4 C5", 960)
                .done()
        })
        .collect();
    let part = part(Some((4, 4)), lines);
    let pages = engrave::svg_pages(&part, &Layout::default()).unwrap();
    assert!((60..200).contains(&pages.len()), "{}", pages.len());
}
