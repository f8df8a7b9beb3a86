//! A horn that differs from the generic one by known amounts is found again from its notes.

#![allow(clippy::unwrap_used)] // helpers of tests

use horn::Setup;
use horn::calibrate::{Measured, calibrate};
use tone::Tuning;

fn trumpet() -> Setup {
    Setup::generic("trumpet-bflat").unwrap()
}

/// Even on the trombones, whose tuning slide is short, a main slide further in is found again.
#[test]
fn calibration_works_on_a_hand_slide() {
    let generic = Setup::generic("trombone-tenor").unwrap();
    let mut mine = generic.clone();
    mine.trim.insert("main".into(), -5.0);
    let tuning = Tuning::default();
    let chart = mine.chart(&tuning, 0).unwrap();
    let ways = chart
        .notes
        .range(46..70)
        .filter_map(|(midi, ways)| Some((midi, ways.first()?)));
    let notes: Vec<Measured> = ways
        .filter(|(_, w)| w.resonance.is_some())
        .map(|(midi, w)| Measured {
            length: w.fingering.label.clone(),
            midi: *midi,
            cents: w.cents_equal.0,
        })
        .collect();
    let found = calibrate(&generic, &tuning, &notes).unwrap();
    assert!((found.trims[0].mm + 5.0).abs() < 0.5, "{found:?}");
}

/// A horn whose loops and main slide were changed by known amounts is found again.
#[test]
fn calibration_finds_a_changed_horn() {
    let generic = trumpet();
    let mut mine = trumpet();
    mine.trim.insert("main".into(), 4.0);
    mine.trim.insert("third valve".into(), 6.0);
    let tuning = Tuning::default();
    let chart = mine.chart(&tuning, 0).unwrap();
    let notes: Vec<Measured> = chart
        .notes
        .range(52..77)
        .flat_map(|(midi, ways)| ways.iter().map(move |w| (midi, w)))
        .filter(|(_, w)| w.resonance.is_some())
        .map(|(midi, w)| Measured {
            length: w.fingering.label.clone(),
            midi: *midi,
            cents: w.cents_equal.0,
        })
        .collect();
    let found = calibrate(&generic, &tuning, &notes).unwrap();
    let of = |name: &str| found.trims.iter().find(|t| t.name == name).unwrap();
    assert!((of("main").mm - 4.0).abs() < 0.5, "{found:?}");
    assert!((of("third valve").mm - 6.0).abs() < 0.5);
    assert!(of("second valve").mm.abs() < 0.5);
    assert!(found.after_cents < 0.5 && found.before_cents > 3.0);
    assert!(calibrate(&generic, &tuning, &[]).is_err());
}

/// With notes that scatter, the stated uncertainty covers what was missed (two standard deviations), and grows
/// with the scatter.
#[test]
fn calibration_states_how_sure_it_is() {
    let generic = trumpet();
    let mut mine = trumpet();
    mine.trim.insert("main".into(), 4.0);
    mine.trim.insert("first valve".into(), -3.0);
    let tuning = Tuning::default();
    let chart = mine.chart(&tuning, 0).unwrap();
    let ways: Vec<_> = chart
        .notes
        .range(54..77)
        .filter_map(|(midi, ways)| Some((*midi, ways.first().filter(|w| w.resonance.is_some())?)))
        .collect();
    let fit = |scatter: f64| {
        let notes: Vec<Measured> = ways
            .iter()
            .enumerate()
            .map(|(i, (midi, way))| Measured {
                length: way.fingering.label.clone(),
                midi: *midi,
                // A fixed scatter without a trend: the golden ratio's multiples fill the unit evenly.
                cents: way.cents_equal.0
                    + scatter * 3.46 * ((i as f64 * 0.618_033_988_7).fract() - 0.5),
            })
            .collect();
        calibrate(&generic, &tuning, &notes).unwrap()
    };
    let (steady, loose) = (fit(4.0), fit(12.0));
    for (found, widest) in [(&steady, 6.0), (&loose, 15.0)] {
        for trim in &found.trims {
            let truth = match trim.name.as_str() {
                "main" => 4.0,
                "first valve" => -3.0,
                _ => 0.0,
            };
            assert!(
                (trim.mm - truth).abs() < 2.0 * trim.uncertainty_mm,
                "{trim:?}"
            );
            assert!(
                trim.uncertainty_mm > 0.3 && trim.uncertainty_mm < widest,
                "{trim:?}"
            );
        }
    }
    assert!(loose.trims[0].uncertainty_mm > 1.5 * steady.trims[0].uncertainty_mm);
}
