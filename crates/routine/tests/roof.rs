//! Properties of a figure carried under a fixed roof, on every instrument, for all roofs, floors
//! and harmonies.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use proptest::prelude::*;
use routine::exercise::{
    Carry, Exercise, Figure, Harmony, HarmonyName, Move, MoveWord, Order, Roof, Travel, TubePitch,
    Turn,
};
use routine::{Levels, Part, Player, expand, library};
use tone::Tuning;

fn exercise(
    harmony: HarmonyName,
    from: i32,
    to: i32,
    roof: i32,
    floor: i32,
    turn: Turn,
) -> Exercise {
    let mut exercise = library::find("arpeggios-one-roof-major").unwrap().clone();
    let harmony = Harmony::Named(harmony);
    exercise.figure = Figure::Degrees(harmony.ladder().degrees());
    exercise.harmony = Some(harmony);
    exercise.travel = Travel::Moves {
        from: TubePitch::from_key(from),
        to: TubePitch::from_key(to),
        by: Move::Word(MoveWord::Semitone),
        order: Order::Straight,
        root: None,
    };
    exercise.roof = Some(Roof::At(TubePitch::from_key(roof)));
    exercise.floor = Some(TubePitch::from_key(floor));
    exercise.turn = turn;
    exercise
}

/// Sounding key of the tube name C5.
fn home(instrument: &horn::Instrument) -> i32 {
    let above = [0, 0, 12, 19, 24, 28, 31, 34, 36][usize::from(instrument.home_partial)];
    instrument.fundamental.midi() + above
}

fn keys(line: &routine::part::Line, home: i32) -> Vec<i32> {
    line.notes()
        .map(|n| n.sounding.midi() - home + 72)
        .collect()
}

fn part(exercise: &Exercise, instrument: &horn::Instrument) -> (Part, horn::Chart) {
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    let part = expand(
        exercise,
        &Player::named(""),
        instrument,
        &chart,
        &Levels::standard(),
        0,
    );
    (part.unwrap(), chart)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_roof_holds(
        which in 0..100_usize,
        harmony in 0..HarmonyName::ALL.len(),
        from in 48..84_i32,
        span in -14..14_i32,
        roof in 60..92_i32,
        floor in 40..66_i32,
        back in any::<bool>(),
    ) {
        let instrument = &horn::catalog()[which % horn::catalog().len()];
        let harmony = HarmonyName::ALL[harmony];
        let turn = if back { Turn::Back } else { Turn::Stay };
        let exercise = exercise(harmony, from, from + span, roof, floor, turn);
        prop_assume!(exercise.problems().is_empty());
        let (part, chart) = part(&exercise, instrument);
        let home = home(instrument);
        let asked: Vec<i32> = if span < 0 { (from + span..=from).rev().collect() } else { (from..=from + span).collect() };
        let mut starts = Vec::new();
        // What the instrument itself leaves below the exercise's roof.
        let reading = instrument.usual_reading().unwrap();
        let top = instrument.stages.iter().map(|s| reading.transposition.sounding(s.roof).midi() - home + 72).max().unwrap().min(roof);
        for line in &part.lines {
            let keys = keys(line, home);
            prop_assert!(keys.iter().all(|k| *k <= roof), "above the roof: {keys:?} {roof}");
            prop_assert!(keys.iter().all(|k| *k >= floor), "below the floor: {keys:?} {floor}");
            starts.push(keys[0]);
            // Only notes of the harmony.
            let ladder = Harmony::Named(harmony).ladder();
            prop_assert!(keys.iter().all(|k| ladder.rung_of_semitones(k - keys[0]).is_some()));
            // The line reaches the highest note of the harmony under the roof (that has a fingering).
            let highest = (keys[0]..=top)
                .rev()
                .find(|k| ladder.rung_of_semitones(k - keys[0]).is_some()
                    && chart.ways(k - 72 + home).iter().any(|w| w.kind == horn::NoteKind::Partial))
                .unwrap();
            prop_assert_eq!(*keys.iter().max().unwrap(), highest, "{:?}", keys);
            // The same start comes back.
            if back { prop_assert_eq!(keys.last(), keys.first()); }
        }
        // Starts are those asked for, in order, those missing have a reason.
        let mut rest = asked.iter();
        for start in &starts {
            prop_assert!(rest.any(|a| a == start), "{starts:?} of {asked:?}");
        }
        if starts.len() < asked.len() {
            prop_assert!(!part.left_out.is_empty());
        }
    }

    #[test]
    fn no_rule_hangs_or_panics(
        which in 0..100_usize,
        degrees in prop::collection::vec(-60..60_i32, 0..70),
        carry in 0..5_usize,
        by in 0..30_u8,
        from in -20..140_i32,
        to in -20..140_i32,
        roof in -20..140_i32,
        repeats in 0..10_u8,
        tempo in -10.0..400.0_f64,
    ) {
        let instrument = &horn::catalog()[which % horn::catalog().len()];
        let mut exercise = exercise(HarmonyName::Chromatic, 60, 60, 84, 40, Turn::Back);
        exercise.figure = Figure::Degrees(degrees);
        exercise.carry = [None, Some(Carry::Octaves), Some(Carry::Steps), Some(Carry::OctavesDown), Some(Carry::StepsDown)][carry];
        exercise.travel = Travel::Moves {
            from: TubePitch::from_key(from),
            to: TubePitch::from_key(to),
            by: Move::Semitones(by),
            order: Order::Drawn,
            root: None,
        };
        exercise.roof = Some(Roof::At(TubePitch::from_key(roof)));
        exercise.repeats = repeats;
        exercise.tempo = routine::exercise::Tempo::One(tempo);
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        let mut player = Player::named("");
        player.pedals = true;
        player.false_notes = true;
        let result = expand(&exercise, &player, instrument, &chart, &Levels::standard(), 5);
        prop_assert_eq!(result.is_err(), !exercise.problems().is_empty());
        if let Ok(part) = result {
            let notes: usize = part.lines.iter().map(|l| l.notes().count()).sum();
            prop_assert!(notes <= 20_000);
            prop_assert!(!part.lines.is_empty() || !part.left_out.is_empty());
        }
    }
}

#[test]
fn every_harmony_and_instrument_under_one_roof() {
    for instrument in horn::catalog() {
        for harmony in HarmonyName::ALL {
            let exercise = exercise(*harmony, 72, 54, 79, 54, Turn::Stay);
            let (part, _) = part(&exercise, instrument);
            assert!(
                !part.lines.is_empty(),
                "{} {harmony:?}: {:?}",
                instrument.id,
                part.left_out
            );
        }
    }
}

#[test]
fn the_same_input_and_seed_give_the_same_bytes() {
    for instrument in horn::catalog() {
        let chart = horn::ideal::chart(instrument, &Tuning::default());
        for exercise in library::exercises() {
            let write = |seed| {
                let part = expand(
                    exercise,
                    &Player::named(""),
                    instrument,
                    &chart,
                    &Levels::standard(),
                    seed,
                );
                serde_json::to_string(&part.unwrap()).unwrap()
            };
            assert_eq!(write(1), write(1));
        }
    }
    let drawn = library::find("long-notes-drawn-keys").unwrap();
    let trumpet = horn::catalog::find("trumpet-bflat").unwrap();
    let chart = horn::ideal::chart(trumpet, &Tuning::default());
    let order = |seed| {
        let part = expand(
            drawn,
            &Player::named(""),
            trumpet,
            &chart,
            &Levels::standard(),
            seed,
        )
        .unwrap();
        part.lines
            .iter()
            .map(|l| l.label.clone())
            .collect::<Vec<_>>()
    };
    assert_ne!(order(1), order(2));
}
