//! Time, load and rest of exercises and days, and what happens when a day asks too much.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use routine::exercise::{Exercise, Rest, RestWord};
use routine::part::{Event, Line, Part, Totals};
use routine::player::Limits;
use routine::{
    Levels, Member, Player, Setup, Ticks, expand, expand_class_routine, expand_routine, library,
};
use tone::Tuning;

fn player(level: &str) -> Player {
    Player {
        level: Some(level.to_owned()),
        ..Player::named("Ada")
    }
}

fn write(exercise: &Exercise, player: &Player, id: &str) -> Part {
    let instrument = horn::catalog::find(id).unwrap();
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    expand(exercise, player, instrument, &chart, &Levels::standard(), 1).unwrap()
}

fn playing(line: &Line) -> u32 {
    line.notes().map(|n| n.duration.0).sum()
}

fn resting(line: &Line) -> u32 {
    let inside: u32 = line
        .events
        .iter()
        .map(|e| match e {
            Event::Rest { duration } => duration.0,
            Event::Note(_) | Event::Breath => 0,
        })
        .sum();
    inside + line.rest_after.0
}

#[test]
fn rest_is_as_long_as_the_playing_in_whole_bars() {
    for exercise in library::exercises() {
        if exercise.rest != Rest::Word(RestWord::Equal) {
            continue;
        }
        let bar = exercise.meter.bar().0;
        for line in &write(exercise, &player("fifth"), "trumpet-bflat").lines {
            assert!(resting(line) >= playing(line), "{}", exercise.id);
            assert!(resting(line) < playing(line) + bar, "{}", exercise.id);
            assert_eq!((playing(line) + resting(line)) % bar, 0, "{}", exercise.id);
        }
    }
}

#[test]
fn totals_are_the_sum_of_the_lines() {
    for exercise in library::exercises() {
        let part = write(exercise, &player("fourth"), "tuba-eflat-comp");
        let sum = part.lines.iter().fold(Totals::default(), |t, line| Totals {
            playing_s: t.playing_s + Ticks(playing(line)).seconds(line.tempo),
            rest_s: t.rest_s + Ticks(resting(line)).seconds(line.tempo),
            load: t.load + line.load,
        });
        assert!(
            (sum.playing_s - part.totals.playing_s).abs() < 1e-6,
            "{}",
            exercise.id
        );
        assert!(
            (sum.rest_s - part.totals.rest_s).abs() < 1e-6,
            "{}",
            exercise.id
        );
        assert!(
            (sum.load - part.totals.load).abs() < 1e-6,
            "{}",
            exercise.id
        );
    }
}

#[test]
fn an_exercise_keeps_to_the_minutes_of_the_level() {
    let levels = Levels::standard();
    for level in &levels.levels {
        for exercise in library::exercises() {
            let part = write(exercise, &player(&level.id), "cornet");
            let minutes = (part.totals.playing_s + part.totals.rest_s) / 60.0;
            assert!(
                minutes <= level.minutes || part.lines.len() == 1,
                "{} {}",
                exercise.id,
                level.id
            );
        }
    }
}

#[test]
fn no_breath_is_longer_than_the_level_allows_unless_one_note_is() {
    let levels = Levels::standard();
    for level in &levels.levels {
        for exercise in library::exercises() {
            for line in &write(exercise, &player(&level.id), "flugelhorn").lines {
                let (mut seconds, mut notes) = (0.0, 0);
                for event in &line.events {
                    match event {
                        Event::Note(note) => {
                            seconds += note.duration.seconds(line.tempo);
                            notes += 1;
                            assert!(
                                seconds <= level.limits.breath_seconds + 1e-9 || notes == 1,
                                "{} {}",
                                exercise.id,
                                level.id
                            );
                        }
                        Event::Rest { .. } | Event::Breath => (seconds, notes) = (0.0, 0),
                    }
                }
            }
        }
    }
}

#[test]
fn the_day_plans_keep_within_the_limits_of_their_levels() {
    let levels = Levels::standard();
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for level in ["third", "fourth", "fifth", "sixth"] {
            let player = player(level);
            let setup = Setup {
                player: &player,
                instrument,
                chart: &chart,
                levels: &levels,
                seed: 1,
            };
            for routine in library::routines() {
                let part = expand_routine(routine, library::exercises(), &setup).unwrap();
                assert_eq!(part.sections.len(), routine.steps.len());
                let mut next = 0;
                for section in &part.sections {
                    assert_eq!(section.first_line, next);
                    next += section.line_count;
                }
                assert_eq!(next, part.lines.len());
                if routine.id != "full-hour" || level != "third" {
                    assert!(
                        part.warnings.is_empty(),
                        "{} {level} {}: {:?}",
                        routine.id,
                        instrument.id,
                        part.warnings
                    );
                }
            }
        }
    }
}

#[test]
fn a_day_over_the_limits_is_warned_about_and_not_cut() {
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    let chart = horn::ideal::chart(trumpet, &Tuning::default());
    let levels = Levels::standard();
    let mut player = player("sixth");
    player.limits = Some(Limits {
        playing_minutes: 2.0,
        load_minutes: 1.0,
        breath_seconds: 8.0,
    });
    let setup = Setup {
        player: &player,
        instrument: trumpet,
        chart: &chart,
        levels: &levels,
        seed: 1,
    };
    let part = expand_routine(&library::routines()[2], library::exercises(), &setup).unwrap();
    assert_eq!(part.warnings.len(), 2, "{:?}", part.warnings);
    assert!(part.warnings[0].contains("more than the 2 of a day's limit"));
}

#[test]
fn a_routine_that_names_a_missing_exercise_says_which_is_near() {
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    let chart = horn::ideal::chart(trumpet, &Tuning::default());
    let levels = Levels::standard();
    let player = player("third");
    let setup = Setup {
        player: &player,
        instrument: trumpet,
        chart: &chart,
        levels: &levels,
        seed: 1,
    };
    let mut routine = library::routines()[0].clone();
    routine.steps[0].exercise = "long-note-home".to_owned();
    let error = expand_routine(&routine, library::exercises(), &setup).unwrap_err();
    assert!(
        error
            .to_string()
            .contains("did you mean `long-notes-home`?"),
        "{error}"
    );
}

#[test]
fn unknown_levels_and_readings_name_those_there_are() {
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    let chart = horn::ideal::chart(trumpet, &Tuning::default());
    let exercise = &library::exercises()[0];
    let run = |player: &Player| {
        expand(exercise, player, trumpet, &chart, &Levels::standard(), 1)
            .unwrap_err()
            .to_string()
    };
    assert!(run(&player("seventh")).contains("first, second"));
    let mut reader = Player::named("");
    reader.reading = Some("alto".to_owned());
    assert!(run(&reader).contains("treble"));
}

#[test]
fn a_class_gets_a_booklet_each_that_goes_together() {
    let levels = Levels::standard();
    let ids = ["cornet", "horn-tenor", "euphonium-comp", "tuba-eflat"];
    let set: Vec<_> = ids
        .iter()
        .map(|id| {
            let instrument = horn::catalog::find(id).unwrap();
            (
                player("third"),
                instrument,
                horn::ideal::chart(instrument, &Tuning::default()),
            )
        })
        .collect();
    let members: Vec<Member<'_>> = set
        .iter()
        .map(|(player, instrument, chart)| Member {
            player,
            instrument,
            chart,
        })
        .collect();
    let class = expand_class_routine(
        &library::routines()[1],
        library::exercises(),
        &members,
        &levels,
        1,
    )
    .unwrap();
    let seconds: Vec<i64> = class
        .parts
        .iter()
        .map(|p| (1000.0 * (p.totals.playing_s + p.totals.rest_s)).round() as i64)
        .collect();
    assert!(seconds.windows(2).all(|w| w[0] == w[1]), "{seconds:?}");
    assert!(seconds[0] > 0);
    assert!(
        class
            .parts
            .iter()
            .all(|p| p.sections.len() == library::routines()[1].steps.len())
    );
}

#[test]
fn a_range_that_leaves_nothing_gives_an_empty_part_with_its_reason() {
    let mut narrow = Player::named("");
    narrow.range = Some(routine::player::Range {
        comfortable: routine::player::Compass {
            floor: "A5".parse().unwrap(),
            roof: "B5".parse().unwrap(),
        },
        stretch: None,
    });
    let part = write(
        library::find("scales-major-octave").unwrap(),
        &narrow,
        "trumpet-bflat",
    );
    assert!(part.lines.is_empty());
    assert!(
        part.left_out[0].why.contains("range today"),
        "{:?}",
        part.left_out
    );
}

#[test]
fn pedals_come_only_when_asked_for() {
    let exercise = library::find("range-pedals-by-semitone").unwrap();
    assert!(
        write(exercise, &player("sixth"), "trombone-tenor")
            .lines
            .is_empty()
    );
    let mut asks = player("sixth");
    asks.pedals = true;
    let part = write(exercise, &asks, "trombone-tenor");
    assert!(part.lines.len() >= 6, "{:?}", part.left_out);
    assert!(
        part.lines
            .iter()
            .flat_map(Line::notes)
            .all(|n| n.fingering.kind == horn::NoteKind::Pedal)
    );
}
