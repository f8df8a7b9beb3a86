//! Valve arithmetic with the 6 % worked example.
//!
//! Source: James Madison University, Brass Pedagogy, "Why the math doesn't add up" (2016): an open
//! tube of 100 units, 6 % a semitone; tables 1 and 2.

// Helpers of tests may unwrap, as the tests themselves do.
#![allow(clippy::unwrap_used)]

use horn::Instrument;

/// Unrounded, each length is 106 % of the one before; the page rounds to two decimals.
const ROUNDED: f64 = 0.011;

fn instrument() -> Instrument {
    let text = horn::catalog::source("trumpet-bflat").unwrap();
    // The valves of the example: 12.36, 6 and 19.1016 % of the open tube.
    let text = text
        .replacen("semitones = 2", "semitones = 2\nadds = 0.1236", 1)
        .replacen("semitones = 1", "semitones = 1\nadds = 0.06", 1)
        .replacen("semitones = 3", "semitones = 3\nadds = 0.191016", 1);
    Instrument::from_toml(&text).unwrap()
}

#[test]
fn single_valves() {
    for (label, length) in [("2", 106.0), ("1", 112.36), ("3", 119.1)] {
        let got = instrument().length_named(label).unwrap().ratio * 100.0;
        assert!((got - length).abs() < ROUNDED, "{label}: {got}");
    }
}

#[test]
fn combinations_fall_short() {
    for (label, needed, provided, short) in [
        ("1-2", 19.10, 18.36, 0.74),
        ("2-3", 26.25, 25.10, 1.15),
        ("1-3", 33.83, 31.46, 2.37),
        ("1-2-3", 41.86, 37.46, 4.40),
    ] {
        let instrument = instrument();
        let length = instrument.length_named(label).unwrap();
        let got = (length.ratio - 1.0) * 100.0;
        assert!((got - provided).abs() < ROUNDED, "{label}: {got}");
        let exact = (1.06_f64.powi(length.semitones.into()) - 1.0) * 100.0;
        assert!((exact - needed).abs() < ROUNDED, "{label}: {exact}");
        assert!((exact - got - short).abs() < 2.0 * ROUNDED, "{label}");
    }
}
