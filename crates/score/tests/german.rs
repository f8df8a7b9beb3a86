//! A German page says nothing in English: the whole library, all days, what was heard.
//!
//! English is known by its words: those of the English catalogue that no German text has.
#![cfg(feature = "engrave")]
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use horn::Instrument;
use routine::part::{Line, Part};
use routine::player::Limits;
use routine::{Levels, Player, Setup, expand, expand_routine, library};
use score::engrave;
use score::heard::NoteMark;
use score::layout::Layout;
use score::picture;
use score::words::Words;
use tone::{Language, NoteName, Tuning};

/// The texts that the program brings along, English and German.
const GIVEN: &str = include_str!("../../routine/words/de.json");

fn words(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(|c: char| !c.is_alphabetic())
        .filter(|word| word.chars().count() > 1)
        .map(str::to_lowercase)
}

/// English words that are in no German text.
fn english() -> BTreeSet<String> {
    let (mut english, mut german) = (BTreeSet::new(), BTreeSet::new());
    let given: serde_json::Value = serde_json::from_str(GIVEN).unwrap();
    for table in ["library", "families", "names", "reasons"] {
        for (one, other) in given[table].as_object().unwrap() {
            english.extend(words(one));
            german.extend(words(other.as_str().unwrap()));
        }
    }
    for built in given["built"].as_array().unwrap() {
        english.extend(words(built["is"].as_str().unwrap()));
        german.extend(words(built["say"].as_str().unwrap()));
    }
    for (language, into) in [(Language::En, &mut english), (Language::De, &mut german)] {
        let own = serde_json::to_value(Words::of(language)).unwrap();
        for text in own.as_object().unwrap().values() {
            into.extend(words(text.as_str().unwrap()));
        }
    }
    // "As" is a note.
    for fifths in -14..=14 {
        let name = NoteName::from_fifths(fifths).unwrap();
        german.extend(words(&name.named(Language::De)));
    }
    assert!(english.contains("playing") && english.contains("from"));
    &english - &german
}

/// What a drawing shows and says.
fn said(drawing: &str) -> String {
    let drawing = roxmltree::Document::parse(drawing).unwrap();
    let texts = drawing.descendants().filter(|node| {
        node.has_tag_name("text") || node.has_tag_name("title") || node.has_tag_name("desc")
    });
    texts
        .filter_map(|node| node.text())
        .collect::<Vec<_>>()
        .join("\n")
}

fn in_english(drawing: &str, english: &BTreeSet<String>) -> Vec<String> {
    let said = said(drawing);
    words(&said).filter(|word| english.contains(word)).collect()
}

fn instruments() -> Vec<&'static Instrument> {
    let some = ["trumpet-bflat", "trombone-tenor-f", "horn-double"];
    some.map(|id| horn::catalog::find(id).unwrap()).to_vec()
}

/// The whole library and all days, for players of whom much is left out.
fn parts() -> Vec<Part> {
    let levels = Levels::standard();
    let mut parts = Vec::new();
    for instrument in instruments() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for level in [None, Some("second".to_owned())] {
            let player = Player {
                level,
                pedals: true,
                limits: Some(Limits {
                    playing_minutes: 5.0,
                    load_minutes: 5.0,
                    breath_seconds: 6.0,
                }),
                ..Player::named("Mira Sandoval")
            };
            for exercise in library::exercises() {
                parts.push(expand(exercise, &player, instrument, &chart, &levels, 0).unwrap());
            }
            let setup = Setup {
                player: &player,
                instrument,
                chart: &chart,
                levels: &levels,
                seed: 0,
            };
            for day in library::routines() {
                parts.push(expand_routine(day, library::exercises(), &setup).unwrap());
            }
        }
    }
    parts.retain(|part| !part.lines.is_empty());
    parts
}

#[test]
fn no_english_word_stands_on_a_german_page() {
    let english = english();
    let layout = Layout {
        language: Language::De,
        ..Layout::default()
    };
    let (mut left_out, mut warnings) = (0, 0);
    for part in parts() {
        left_out += part.left_out.len();
        warnings += part.warnings.len();
        for page in engrave::svg_pages(&part, &layout).unwrap() {
            let found = in_english(&page, &english);
            assert!(
                found.is_empty(),
                "{}: {found:?} in\n{}",
                part.title,
                said(&page)
            );
        }
    }
    assert!(left_out > 100 && warnings > 0, "{left_out}, {warnings}");
}

#[test]
fn the_same_pages_in_english_are_full_of_them() {
    let english = english();
    for part in parts().iter().step_by(20) {
        for page in engrave::svg_pages(part, &Layout::default()).unwrap() {
            assert!(!in_english(&page, &english).is_empty(), "{}", part.title);
        }
    }
}

#[test]
fn what_was_heard_and_the_fingering_chart_are_german_too() {
    let english = english();
    let layout = Layout {
        language: Language::De,
        ..Layout::default()
    };
    let part = parts().swap_remove(0);
    let marks: Vec<NoteMark> = part
        .lines
        .iter()
        .flat_map(Line::notes)
        .enumerate()
        .map(|(index, note)| NoteMark {
            id: note.id.clone(),
            cents: (index % 5 > 0).then_some(index as f64 % 5.0 * 10.0 - 20.0),
            missing: index % 7 == 0,
            caught: if index % 3 == 0 { vec![5] } else { Vec::new() },
            caption: Words::of(Language::De).chipped.into(),
        })
        .collect();
    let mut drawings = engrave::heard_svg_pages(&part, &marks, &layout).unwrap();
    let caught = |page: &String| said(page).contains("hängen geblieben");
    assert!(drawings.iter().any(caught));
    for instrument in instruments() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        let stage = instrument.stages.last().unwrap();
        for reading in &instrument.readings {
            let compass = (stage.floor, stage.roof);
            let theme = &picture::LIGHT;
            drawings.extend(picture::fingering_chart(
                instrument,
                reading,
                &chart,
                compass,
                theme,
                Language::De,
            ));
        }
    }
    for drawing in drawings {
        let found = in_english(&drawing, &english);
        assert!(found.is_empty(), "{found:?} in\n{}", said(&drawing));
    }
}
