//! Frequencies against their closed forms, to 1e-9 relative.
//!
//! Sources: equal temperament 2^(n/12) at A4 = 440 Hz (ISO 16:1975); MIDI key 69 is A4 (MIDI 1.0);
//! the ratios of just, Pythagorean and quarter-comma meantone tuning are theory of music, from memory
//! and derivable; table values in cents rounded to 0.01.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use proptest::prelude::*;
use tone::{Cents, Hertz, Pitch, Sounding, Temperament, Tuning, TuningError};

fn relative(a: f64, b: f64) -> f64 {
    ((a - b) / b).abs()
}

proptest! {
    #[test]
    fn equal_temperament_is_a_power_of_two(midi in 12_i32..=120, a4 in 415.0..=466.0) {
        let tuning = Tuning::new(Hertz(a4), Temperament::Equal).unwrap();
        let closed = a4 * 2.0_f64.powf(f64::from(midi - 69) / 12.0);
        let got = tuning.frequency(Sounding(Pitch::from_midi(midi)));
        prop_assert!(relative(got.0, closed) < 1e-9);
    }

    #[test]
    fn just_intervals_are_ratios_over_the_root(root in 0_u8..12, octave in 1_i32..8, degree in 0_i32..12) {
        const RATIOS: [f64; 12] = [
            1.0, 16.0 / 15.0, 1.125, 1.2, 1.25, 4.0 / 3.0, 1.40625, 1.5, 1.6, 5.0 / 3.0, 1.8, 1.875,
        ];
        let tuning = Tuning::new(Hertz(440.0), Temperament::Just { root }).unwrap();
        let low = 12 * octave + i32::from(root);
        let at = |midi| tuning.frequency(Sounding(Pitch::from_midi(midi))).0;
        prop_assert!(relative(at(low + degree), at(low) * RATIOS[degree as usize]) < 1e-9);
        prop_assert!(relative(at(low), tuning.equal(low).0) < 1e-12);
    }

    #[test]
    fn cents_and_ratios_are_inverse(cents in -6000.0..6000.0) {
        prop_assert!((Cents::from_ratio(Cents(cents).ratio()).0 - cents).abs() < 1e-9);
        let base = Hertz(233.082);
        prop_assert!((base.shifted(Cents(cents)).cents_above(base).0 - cents).abs() < 1e-9);
    }
}

/// The degrees of a chain of twelve fifths of this ratio, from `first`, brought into the octave.
fn chain(first: i32, fifth: f64) -> Vec<f64> {
    let mut degrees: Vec<f64> = (first..first + 12)
        .map(|n| {
            let mut ratio = fifth.powi(n);
            while ratio >= 2.0 - 1e-12 {
                ratio /= 2.0;
            }
            while ratio < 1.0 - 1e-12 {
                ratio *= 2.0;
            }
            1200.0 * ratio.log2()
        })
        .collect();
    degrees.sort_by(f64::total_cmp);
    degrees
}

#[test]
fn chains_of_fifths() {
    for (temperament, first, fifth) in [
        (Temperament::Pythagorean { root: 0 }, -5, 1.5),
        (Temperament::Meantone { root: 0 }, -3, 5.0_f64.powf(0.25)),
    ] {
        for (degree, expected) in (0_u8..).zip(chain(first, fifth)) {
            let got = temperament.degree(degree).0;
            assert!(
                (got - expected).abs() < 1e-9,
                "{temperament} {degree}: {got} {expected}"
            );
        }
    }
}

#[test]
fn well_known_cents() {
    for (temperament, degree, cents) in [
        (Temperament::Just { root: 0 }, 4, 386.31),
        (Temperament::Just { root: 0 }, 3, 315.64),
        (Temperament::Just { root: 0 }, 6, 590.22),
        (Temperament::Just { root: 0 }, 10, 1017.60),
        (Temperament::Pythagorean { root: 0 }, 4, 407.82),
        (Temperament::Pythagorean { root: 0 }, 1, 90.22),
        (Temperament::Meantone { root: 0 }, 7, 696.58),
        (Temperament::Meantone { root: 0 }, 4, 386.31),
        (Temperament::Meantone { root: 0 }, 8, 772.63),
    ] {
        let got = temperament.degree(degree).0;
        assert!((got - cents).abs() < 0.006, "{temperament} {degree}: {got}");
    }
}

#[test]
fn a_tuning_that_cannot_be_is_refused() {
    let a4 = Hertz(440.0);
    for bad in [0.0, 414.9, 466.1, -440.0, f64::NAN, f64::INFINITY] {
        let error = Tuning::new(Hertz(bad), Temperament::Equal).unwrap_err();
        assert!(matches!(error, TuningError::A4 { .. }));
    }
    let error = Tuning::new(a4, Temperament::Just { root: 12 }).unwrap_err();
    assert_eq!(error, TuningError::Root { root: 12 });
    let even = Temperament::from_deviations(2, [0.0; 12]);
    assert_eq!(Tuning::new(a4, even).map(|t| t.offset(61)), Ok(Cents(0.0)));
    let Temperament::Table { root, cents } = even else {
        panic!("a table")
    };
    for (degree, value) in [(0, 1.0), (3, 150.0), (11, 1200.0), (5, f64::NAN)] {
        let mut cents = cents;
        cents[degree] = value;
        let error = Tuning::new(a4, Temperament::Table { root, cents }).unwrap_err();
        assert!(
            matches!(error, TuningError::Table { degree: at, .. } if usize::from(at) == degree),
            "{error}"
        );
    }
}

#[test]
fn a_frequency_that_is_no_pitch_has_none_near() {
    for hz in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-3, 1e9] {
        assert_eq!(Tuning::default().nearest(Hertz(hz)), None);
    }
}
