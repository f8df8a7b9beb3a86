//! Every text of every part of the library has German words, for players of whom much is left out.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use horn::catalog;
use routine::player::Limits;
use routine::words::say;
use routine::{Levels, Part, Player, Setup, expand, expand_routine, library};
use tone::{Language, Tuning};

/// The texts of a part that the program wrote.
fn texts(part: &Part) -> Vec<&str> {
    let mut texts = vec![
        &part.title,
        &part.purpose,
        &part.words,
        &part.instrument_name,
    ];
    texts.extend(&part.cautions);
    texts.extend(&part.warnings);
    texts.extend(part.lines.iter().map(|line| &line.label));
    for omission in &part.left_out {
        texts.extend([&omission.what, &omission.why]);
    }
    for section in &part.sections {
        texts.extend([&section.title, &section.purpose, &section.words]);
        texts.extend(&section.cautions);
    }
    texts
        .into_iter()
        .map(String::as_str)
        .filter(|text| !text.is_empty())
        .collect()
}

#[test]
fn every_text_of_the_library_is_said_in_german() {
    let levels = Levels::standard();
    let mut left = BTreeSet::new();
    let mut count = 0;
    for instrument in catalog::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for level in [None, Some("first".to_owned()), Some("third".to_owned())] {
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
            let setup = Setup {
                player: &player,
                instrument,
                chart: &chart,
                levels: &levels,
                seed: 0,
            };
            let one = |exercise| expand(exercise, &player, instrument, &chart, &levels, 0);
            let day = |day| expand_routine(day, library::exercises(), &setup);
            let parts = library::exercises().iter().map(one);
            for part in parts.chain(library::routines().iter().map(day)) {
                let part = part.unwrap();
                for text in texts(&part) {
                    count += 1;
                    if say(text, Language::De) == text {
                        left.insert(text.to_owned());
                    }
                }
                let german = part.clone().in_language(Language::De);
                assert_eq!(german.lines.len(), part.lines.len());
                assert_eq!(part.clone().in_language(Language::En), part);
            }
        }
    }
    assert!(count > 10_000, "{count}");
    assert_eq!(left, BTreeSet::new());
}
