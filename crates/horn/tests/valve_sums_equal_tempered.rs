//! What valve combinations lack on equal-tempered valves, and where partials lie.
//!
//! Derivable: a semitone is a ratio of 2^(1/12); cents of n are 1200 log2(n). The figures are those
//! printed in texts on brass acoustics, rounded to the last digit given.

// Helpers of tests may unwrap, as the tests themselves do.
#![allow(clippy::unwrap_used)]

use horn::Instrument;
use tone::Tuning;

fn find(id: &str) -> &'static Instrument {
    horn::catalog::find(id).unwrap()
}

fn sharp(instrument: &Instrument, label: &str) -> f64 {
    let length = instrument.length_named(label).unwrap();
    100.0 * f64::from(length.semitones) - 1200.0 * length.ratio.log2()
}

#[test]
fn added_lengths() {
    for (label, percent) in [
        ("2", 5.946),
        ("1", 12.246),
        ("3", 18.921),
        ("1-2", 18.192),
        ("2-3", 24.867),
        ("1-3", 31.167),
        ("1-2-3", 37.113),
    ] {
        for id in ["trumpet-bflat", "cornet", "baritone", "tuba-eflat"] {
            let got = (find(id).length_named(label).unwrap().ratio - 1.0) * 100.0;
            assert!((got - percent).abs() < 0.0006, "{id} {label}: {got}");
        }
    }
}

#[test]
fn combinations_are_sharp() {
    for (label, cents) in [
        ("0", 0.0),
        ("2", 0.0),
        ("1", 0.0),
        ("3", 0.0),
        ("1-2", 10.65),
        ("2-3", 15.5),
        ("1-3", 30.3),
        ("1-2-3", 53.6),
    ] {
        let got = sharp(find("trumpet-bflat"), label);
        assert!((got - cents).abs() < 0.06, "{label}: {got}");
    }
}

#[test]
fn a_fourth_valve_mends_what_one_three_lacks() {
    let euphonium = find("euphonium-4");
    assert!(sharp(euphonium, "4").abs() < 1e-9);
    assert!((sharp(euphonium, "2-4") - 24.5).abs() < 0.06);
}

#[test]
fn compensating_loops_give_the_valves_back_their_intervals() {
    // With valve 4 down every length is stretched by the same factor, so that combinations are out
    // by as much as without it.
    for id in ["euphonium-comp", "tuba-eflat-comp"] {
        let instrument = find(id);
        for (with, without) in [
            ("1-4", "1"),
            ("2-4", "2"),
            ("3-4", "3"),
            ("1-2-4", "1-2"),
            ("2-3-4", "2-3"),
            ("1-3-4", "1-3"),
            ("1-2-3-4", "1-2-3"),
        ] {
            let (with, without) = (sharp(instrument, with), sharp(instrument, without));
            assert!((with - without).abs() < 1e-9, "{id}: {with} {without}");
        }
    }
}

#[test]
fn partials_against_equal_temperament() {
    let chart = horn::ideal::chart(find("horn-double"), &Tuning::default());
    for (partial, cents) in [
        (2, 0.0),
        (3, 1.955),
        (4, 0.0),
        (5, -13.686),
        (6, 1.955),
        (7, -31.174),
        (8, 0.0),
        (9, 3.910),
        (10, -13.686),
        (11, -48.682),
        (12, 1.955),
        (13, 40.528),
        (15, -11.731),
        (16, 0.0),
    ] {
        let mut ways = chart.notes.values().flatten();
        let way = ways
            .find(|w| w.label == "0" && w.partial == partial)
            .unwrap();
        assert!(
            (way.cents.0 - cents).abs() < 0.0006,
            "{partial}: {}",
            way.cents.0
        );
    }
}

#[test]
fn a_slide_has_longer_steps_further_out_and_fewer_positions_with_a_rotor() {
    let trombone = find("trombone-tenor-f");
    let out = |label: &str| trombone.length_named(label).map(|l| l.ratio);
    let steps: Vec<f64> = ["1", "2", "3", "4", "5", "6", "7"]
        .windows(2)
        .map(|pair| out(pair[1]).unwrap() - out(pair[0]).unwrap())
        .collect();
    // Six steps, each 2^(1/12) times the one before; the whole way is 41.42 % of the open tube.
    assert_eq!(steps.len(), 6);
    for pair in steps.windows(2) {
        assert!((pair[1] / pair[0] - 2.0_f64.powf(1.0 / 12.0)).abs() < 1e-9);
    }
    assert!((steps.iter().sum::<f64>() - (2.0_f64.sqrt() - 1.0)).abs() < 1e-9);
    // Common practice, no source: six positions in F.
    assert!(out("T6").is_some() && out("T7").is_none());
    let place = |label: &str| trombone.length_named(label).unwrap().slide_place.unwrap();
    assert!(place("T2") > 2.2 && place("T2") < 2.4);
}
