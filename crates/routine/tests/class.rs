//! A class of mixed brass sounds together: same pitch classes, same time, one drone.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use routine::{Levels, Member, Player, expand_class, library};
use tone::Tuning;

#[test]
fn mixed_brass_plays_the_same_pitch_classes_at_the_same_time_over_one_drone() {
    let ids = [
        "trumpet-bflat",
        "horn-double",
        "trombone-tenor",
        "tuba-f",
        "horn-tenor",
        "trumpet-c",
    ];
    let members: Vec<_> = ids
        .iter()
        .map(|id| {
            let instrument = horn::catalog::find(id).unwrap();
            let mut player = Player::named(*id);
            player.level = Some("fourth".to_owned());
            (
                player,
                instrument,
                horn::ideal::chart(instrument, &Tuning::default()),
            )
        })
        .collect();
    let members: Vec<Member<'_>> = members
        .iter()
        .map(|(player, instrument, chart)| Member {
            player,
            instrument,
            chart,
        })
        .collect();
    let mut played = 0;
    for exercise in library::exercises() {
        let class = expand_class(exercise, &members, &Levels::standard(), 3).unwrap();
        let first = &class.parts[0];
        for (part, id) in class.parts.iter().zip(ids) {
            assert_eq!(part.lines.len(), first.lines.len(), "{} {id}", exercise.id);
            assert_eq!(class.drones.len(), part.lines.len());
            for (i, line) in part.lines.iter().enumerate() {
                assert_eq!(line.root, class.drones[i]);
                assert!((46..58).contains(&line.root.midi()));
                let (a, b) = (&first.lines[i], line);
                assert_eq!(a.rest_after, b.rest_after, "{} {id}", exercise.id);
                assert_eq!(a.tempo, b.tempo);
                let time = |l: &routine::part::Line| -> u32 {
                    l.events
                        .iter()
                        .map(|e| match e {
                            routine::part::Event::Note(n) => n.duration.0,
                            routine::part::Event::Rest { duration } => duration.0,
                            routine::part::Event::Breath => 0,
                        })
                        .sum()
                };
                assert_eq!(time(a), time(b), "{} {id} {}", exercise.id, b.label);
                if a.notes().next().is_some() && b.notes().next().is_some() {
                    let classes = |l: &routine::part::Line| -> Vec<i32> {
                        l.notes()
                            .map(|n| n.sounding.midi().rem_euclid(12))
                            .collect()
                    };
                    assert_eq!(classes(a), classes(b), "{} {id}", exercise.id);
                    // Own octave: whole octaves apart throughout.
                    let apart: Vec<i32> = a
                        .notes()
                        .zip(b.notes())
                        .map(|(x, y)| x.sounding.midi() - y.sounding.midi())
                        .collect();
                    assert!(
                        apart.windows(2).all(|w| w[0] == w[1]),
                        "{} {id}",
                        exercise.id
                    );
                    played += 1;
                }
            }
        }
    }
    assert!(played > 500, "{played}");
}

#[test]
fn a_class_of_nobody_is_refused() {
    let exercise = &library::exercises()[0];
    assert!(expand_class(exercise, &[], &Levels::standard(), 0).is_err());
}
