//! Bad and extreme input: refused with section and number named, or computed; never a panic.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

use horn::bore::{Bore, Cone, Section, Shape, State, Tube, generic_bore};
use horn::impedance::{input_impedance, resonances, standing_wave};
use horn::{Air, Setup};
use proptest::prelude::*;
use tone::Tuning;

const TRUMPET: &str = include_str!("../bores/trumpet-bflat.toml");

/// The message of a trumpet bore after a change, which must hold every one of `parts`.
fn refused(parts: &[&str], change: impl FnOnce(&mut Bore)) {
    let mut bore = generic_bore("trumpet-bflat").unwrap();
    change(&mut bore);
    let text = bore.check().unwrap_err().to_string();
    for part in parts {
        assert!(text.contains(part), "`{part}` is not in: {text}");
    }
    // A bore that was built by hand is checked again before it is used.
    assert_eq!(
        bore.tube(&State::default(), None).unwrap_err().to_string(),
        text
    );
}

fn table(points: Vec<[f64; 2]>) -> impl FnOnce(&mut Bore) {
    |bore| {
        let section = &mut bore.sections[0];
        section.length_mm = 50.0;
        section.shape = Shape::Table { points };
    }
}

#[test]
fn sizes_that_are_none_name_section_and_number() {
    for (bad, shown) in [
        (-3.0, "-3"),
        (0.0, "0"),
        (f64::NAN, "NaN"),
        (f64::INFINITY, "inf"),
    ] {
        let length = format!("length_mm = {shown}");
        refused(&["section 2 `tuning slide`", &length], |b| {
            b.sections[1].length_mm = bad;
        });
        let diameter = format!("diameter_mm = {shown}");
        refused(&["section 3 `valve passages`", &diameter], |b| {
            b.sections[2].shape = Shape::Cylinder { diameter_mm: bad };
        });
        let throat = format!("throat_mm = {shown}");
        refused(&["mouthpiece", &throat], |b| b.mouthpiece.throat_mm = bad);
        let pull = format!("throw_mm = {shown}");
        if bad != 0.0 {
            refused(&["slide `main`", &pull], |b| b.slides[0].throw_mm = bad);
        }
        let exponent = format!("exponent = {shown}");
        refused(&["section 5 `bell`", &exponent], |b| {
            b.sections[4].shape = Shape::Flare {
                from_mm: 18.0,
                to_mm: 120.0,
                exponent: bad,
            };
        });
    }
}

#[test]
fn every_problem_is_told_at_once() {
    refused(
        &[
            "section 1 `leadpipe`: length_mm = 0",
            "section 2 `tuning slide`: length_mm = -1",
            "loop 3 `third valve`: diameter_mm = 0",
        ],
        |b| {
            b.sections[0].length_mm = 0.0;
            b.sections[1].length_mm = -1.0;
            b.loops[2].diameter_mm = 0.0;
        },
    );
}

#[test]
fn a_valve_that_shortens_is_refused() {
    refused(
        &["loop 2 `second valve`", "-20", "may only lengthen"],
        |b| {
            b.loops[1].length_mm = -20.0;
        },
    );
    refused(
        &["loop 1 `first valve`", "nowhere", "no such section"],
        |b| {
            b.loops[0].after = "nowhere".into();
        },
    );
    refused(&["loop 1 `first valve`", "key `9`"], |b| {
        b.loops[0].down = vec!["9".into()];
    });
}

#[test]
fn tables_must_be_in_order_and_end_where_the_section_ends() {
    refused(
        &["section 1 `leadpipe`", "points 2 and 3", "50 mm then 40 mm"],
        table(vec![[0.0, 9.0], [50.0, 10.0], [40.0, 11.0]]),
    );
    // A tube that ends before it starts.
    refused(
        &["section 1 `leadpipe`", "points 1 and 2", "50 mm then 0 mm"],
        table(vec![[50.0, 9.0], [0.0, 10.0]]),
    );
    refused(
        &["section 1 `leadpipe`", "from 0 to 30 mm", "length_mm = 50"],
        table(vec![[0.0, 9.0], [30.0, 10.0]]),
    );
    refused(
        &["section 1 `leadpipe`", "diameter of point 2 = 0"],
        table(vec![[0.0, 9.0], [50.0, 0.0]]),
    );
    refused(
        &["section 1 `leadpipe`", "distance of point 2", "NaN"],
        table(vec![[0.0, 9.0], [f64::NAN, 9.5], [50.0, 10.0]]),
    );
    refused(
        &["section 1 `leadpipe`", "1 pairs"],
        table(vec![[0.0, 9.0]]),
    );
}

#[test]
fn shapes_that_make_no_tube_are_refused() {
    refused(&["sections", "at least one"], |b| b.sections.clear());
    refused(&["section 5 `bell`", "must be wider", "use a cone"], |b| {
        b.sections[4].shape = Shape::Flare {
            from_mm: 120.0,
            to_mm: 20.0,
            exponent: 0.7,
        };
    });
    refused(&["section 1 `leadpipe`", "only lengthen a cylinder"], |b| {
        b.sections[0].slide = Some("main".into());
    });
    refused(&["section 2 `leadpipe`", "its own"], |b| {
        b.sections[1].name = "leadpipe".into();
    });
    refused(&["throat_mm = 20 is wider than rim_mm"], |b| {
        b.mouthpiece.throat_mm = 20.0;
    });
}

/// Text from a file is refused with its line, or with section and number.
#[test]
fn files_are_refused_where_they_are_wrong() {
    let message = Bore::from_toml("id = \"x\"\nname = 3\n")
        .unwrap_err()
        .to_string();
    assert!(message.contains("line 2"), "{message}");
    // The first length of the file that is no throat's or backbore's is the leadpipe's.
    let message = Bore::from_toml(&TRUMPET.replacen("\nlength_mm = ", "\nlength_mm = -", 1))
        .unwrap_err()
        .to_string();
    assert!(
        message.contains("section 1 `leadpipe`: length_mm = -"),
        "{message}"
    );
}

#[test]
fn states_beyond_the_mechanism_are_refused() {
    let bore = generic_bore("trumpet-bflat").unwrap();
    let refuse = |state: &State, part: &str| {
        let text = bore.tube(state, None).unwrap_err().to_string();
        assert!(text.contains(part), "{text}");
    };
    let pulled = |name: &str, mm: f64| State {
        pulls: [(name.to_owned(), mm)].into(),
        ..State::default()
    };
    refuse(&pulled("main", 900.0), "slide `main`: pull 900 mm");
    refuse(&pulled("main", f64::NAN), "slide `main`: pull NaN mm");
    refuse(&pulled("trigger", 3.0), "there is no slide `trigger`");
    refuse(
        &State {
            down: 0b1000,
            ..State::default()
        },
        "only 3 keys",
    );
    refuse(
        &State {
            hand_mm: 10.0,
            ..State::default()
        },
        "hand slide",
    );
    refuse(
        &State {
            trim: [("second valve".to_owned(), -500.0)].into(),
            ..State::default()
        },
        "trim of `second valve`",
    );
}

#[test]
fn frequencies_lengths_and_names_that_are_none_are_refused() {
    let setup = Setup::generic("trumpet-bflat").unwrap();
    let open = setup.instrument.lengths[0].id;
    for f in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e9] {
        let text = setup.impedance(open, &[100.0, f]).unwrap_err().to_string();
        assert!(text.contains("frequency 1"), "{text}");
        assert!(setup.standing_wave(open, f).is_err());
    }
    let text = setup.length_named("9-9").unwrap_err().to_string();
    assert!(text.contains("9-9") && text.contains("1-2-3"), "{text}");
    assert!(Setup::generic("no-such-horn").is_err());
}

fn cylinder(radius: f64, length: f64) -> Tube {
    Tube::of(vec![Cone {
        r1: radius,
        r2: radius,
        length,
    }])
}

/// A capillary of 1 mm, 20 m long: every wave dies on the way, so that the input impedance is the
/// characteristic one (Chaigne & Kergomard, ch. 5) and no resonance stands out.
#[test]
fn a_long_capillary_gives_nothing_back() {
    let air = Air::default().medium().unwrap();
    let tube = cylinder(0.0005, 20.0);
    let frequency = [20.0, 200.0, 2000.0, 20_000.0];
    let z = input_impedance(&tube, &air, &frequency).unwrap();
    let endless = input_impedance(&cylinder(0.0005, 30.0), &air, &frequency).unwrap();
    for (z, endless) in z.iter().zip(endless) {
        assert!(
            (z - endless).norm() < 1e-6 * endless.norm(),
            "{z} {endless}"
        );
    }
    assert!(resonances(&tube, &air, 2000.0).unwrap().peaks.is_empty());
}

/// The same bore as a whole instrument: every answer is given, and says that nothing stands out.
#[test]
fn a_capillary_as_an_instrument_is_answered() {
    let mut setup = Setup::generic("trumpet-bflat").unwrap();
    setup.bore.sections = vec![Section {
        name: "valve passages".into(),
        length_mm: 20_000.0,
        shape: Shape::Cylinder { diameter_mm: 1.0 },
        slide: None,
        legs: 1,
        source: String::new(),
    }];
    let open = setup.instrument.lengths[0].id;
    assert!(setup.resonances(open).unwrap().peaks.len() < 4);
    let chart = setup.chart(&Tuning::default(), 0).unwrap();
    let way = &chart.notes[&58][0];
    assert!(
        way.fingering.reason.contains("no peak stands out"),
        "{}",
        way.fingering.reason
    );
}

/// The widest and longest legal tubes converge: a pipe of 1 m across and 20 m long resonates at the odd
/// multiples of its quarter wave, lengthened by 0.6133 of its radius (Levine & Schwinger 1948).
#[test]
fn a_great_pipe_converges() {
    let air = Air::default().medium().unwrap();
    let found = resonances(&cylinder(0.5, 20.0), &air, 40.0).unwrap();
    for (i, peak) in found.peaks.iter().enumerate() {
        let expected = (2.0 * i as f64 + 1.0) * air.c / (4.0 * (20.0 + 0.6133 * 0.5));
        assert!(
            (peak.frequency / expected - 1.0).abs() < 5e-3,
            "{} {expected}",
            peak.frequency
        );
    }
    assert!(found.peaks.len() >= 4);
}

/// Extremes in every combination give a passive impedance or say that there is none.
#[test]
fn extreme_bores_are_computed() {
    let air = Air::default().medium().unwrap();
    for radius in [0.000_25, 0.0005, 0.005, 1.0] {
        for length in [0.0001, 0.01, 1.0, 30.0] {
            let tube = cylinder(radius, length);
            let z = input_impedance(&tube, &air, &[1.0, 20.0, 200.0, 2000.0, 20_000.0]);
            let z = z.unwrap_or_else(|error| panic!("{radius} {length}: {error}"));
            assert!(
                z.iter().all(|z| z.re >= 0.0 && z.is_finite()),
                "{radius} {length}"
            );
            for peak in resonances(&tube, &air, 2000.0).unwrap().peaks {
                assert!(peak.frequency > 0.0 && peak.height.is_finite() && peak.q > 0.0);
            }
            standing_wave(&tube, &air, 100.0).unwrap();
        }
    }
    assert!(resonances(&Tube::default(), &air, 1000.0).is_err());
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in ".{0,300}") {
        let _ = Bore::from_toml(&text);
    }

    /// One line of a good file replaced by anything.
    #[test]
    fn any_change_of_a_good_file_is_read_or_refused(
        line in 0_usize..134,
        with in "[a-z_]{1,12} = (-?[0-9]{1,6}(\\.[0-9]{1,3})?|nan|inf|\"x\"|\\[\\])",
    ) {
        let lines = TRUMPET.lines().enumerate();
        let text: Vec<&str> = lines.map(|(i, l)| if i == line { with.as_str() } else { l }).collect();
        answered(&text.join("\n"))?;
    }

    /// One number of a good file replaced by another.
    #[test]
    fn any_number_of_a_good_file_is_read_or_refused(
        line in 0_usize..134,
        value in prop_oneof![-1e4..1e5_f64, Just(f64::NAN), Just(f64::INFINITY), Just(0.0), 1e-9..1e-3_f64],
    ) {
        let lines = TRUMPET.lines().enumerate();
        let text: Vec<String> = lines
            .map(|(i, l)| match l.split_once(" = ") {
                Some((name, _)) if i == line => format!("{name} = {value:?}"),
                _ => l.to_owned(),
            })
            .collect();
        answered(&text.join("\n"))?;
    }
}

/// Whatever is read has a passive input impedance, or says why there is none.
fn answered(text: &str) -> Result<(), TestCaseError> {
    let Ok(bore) = Bore::from_toml(text) else {
        return Ok(());
    };
    let Ok(tube) = bore.tube(&State::default(), None) else {
        return Ok(());
    };
    let air = Air::default().medium().unwrap();
    match input_impedance(&tube, &air, &[50.0, 500.0]) {
        Ok(z) => prop_assert!(z.iter().all(|z| z.re >= 0.0)),
        Err(error) => prop_assert!(error.to_string().contains("no finite impedance")),
    }
    Ok(())
}
