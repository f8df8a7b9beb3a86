//! Air columns with closed-form answers: Fletcher & Rossing, *The Physics of Musical Instruments*,
//! ch. 8; Levine & Schwinger, Phys. Rev. 73 (1948) 383.

#![allow(clippy::unwrap_used)] // helpers of tests
use std::f64::consts::PI;

use horn::air::Medium;
use horn::bore::{Cone, Tube};
use horn::impedance::{End, input_impedance, modal_impedance, resonances, standing_wave};
use horn::{Air, bore::Section, bore::Shape};

/// Air with so little viscosity that boundary layers move nothing by 1e-5.
fn lossless() -> Medium {
    let mut air = Air::dry(26.85).medium().unwrap();
    air.mu = 1e-17;
    air
}

fn ideal(cones: Vec<Cone>) -> Tube {
    Tube {
        end: End::Open,
        ..Tube::of(cones)
    }
}

/// Frequencies at which the input impedance has poles: zeros of Im Y, found by bisection between
/// grid points (without losses the peaks are infinite).
fn poles(tube: &Tube, air: &Medium, limit: f64, step: f64) -> Vec<f64> {
    let y = |f: f64| 1.0 / input_impedance(tube, air, &[f]).unwrap()[0].im;
    let mut found = Vec::new();
    let mut f = 10.0;
    while f < limit {
        let (mut a, mut b) = (f, f + step);
        // Y = jB with B rising through zero at a pole of Z: 1/Im Z falls through zero.
        if y(a) > 0.0 && y(b) < 0.0 {
            for _ in 0..60 {
                let m = 0.5 * (a + b);
                if y(m) > 0.0 { a = m } else { b = m }
            }
            found.push(0.5 * (a + b));
        }
        f += step;
    }
    found
}

fn agree(found: &[f64], expected: &[f64], share: f64) {
    for (i, e) in expected.iter().enumerate() {
        let f = found[i];
        assert!(
            (f / e - 1.0).abs() < share,
            "mode {}: {f} Hz, expected {e} Hz",
            i + 1
        );
    }
}

#[test]
fn lossless_cylinder() {
    let air = lossless();
    let tube = ideal(vec![Cone {
        r1: 0.006,
        r2: 0.006,
        length: 1.0,
    }]);
    let expected: Vec<f64> = (1..=8)
        .map(|n| (2.0 * f64::from(n) - 1.0) * air.c / 4.0)
        .collect();
    agree(&poles(&tube, &air, 1500.0, 1.7), &expected, 1e-4);
}

#[test]
fn lossless_truncated_cone() {
    // tan(kL) = -k x1 for the closed small end and the ideal open mouth.
    let air = lossless();
    let (r1, r2, length) = (0.006, 0.05, 1.2);
    let tube = ideal(vec![Cone { r1, r2, length }]);
    let x1 = r1 * length / (r2 - r1);
    let g = |f: f64| {
        let k = 2.0 * PI * f / air.c;
        (k * length).sin() + k * x1 * (k * length).cos()
    };
    let mut expected = Vec::new();
    let mut f = 5.0;
    while expected.len() < 8 {
        let (mut a, mut b) = (f, f + 1.0);
        if g(a) * g(b) < 0.0 {
            for _ in 0..60 {
                let m = 0.5 * (a + b);
                if g(a) * g(m) > 0.0 { a = m } else { b = m }
            }
            expected.push(0.5 * (a + b));
        }
        f += 1.0;
    }
    agree(&poles(&tube, &air, 1500.0, 1.7), &expected, 1e-4);
}

#[test]
fn nearly_complete_cone() {
    // f = n c / 2 L for the complete cone; the tip is cut at 1/2000 of its length.
    let air = lossless();
    let tube = ideal(vec![Cone {
        r1: 2.5e-5,
        r2: 0.05,
        length: 1.0 - 1.0 / 2000.0,
    }]);
    let expected: Vec<f64> = (1..=6).map(|n| f64::from(n) * air.c / 2.0).collect();
    agree(&poles(&tube, &air, 1200.0, 0.04), &expected, 1e-4);
}

/// Bessel horn, closed at the small end, ideally open: zeros of
/// `J(nu, k x0) J(1-nu, k x1) + J(-nu, k x0) J(nu-1, k x1)`, `nu` = exponent + 1/2
/// (Benade & Jansson, Acustica 31 (1974) 79), evaluated with a general Bessel library for
/// c = 347.36 m/s, exponent 0.7, x0 = 20 mm.
#[test]
fn lossless_bessel_horn() {
    let air = Medium {
        c: 347.36,
        ..lossless()
    };
    for (length, expected) in [
        (0.5, [288.071, 621.444, 957.594, 1295.491, 1634.813]),
        (1.3, [113.388, 244.230, 375.678, 507.335, 639.127]),
    ] {
        let (b, x0) = (0.004, 0.02_f64);
        let r = |x: f64| b * x.powf(-0.7);
        let section = Section {
            name: "bell".into(),
            length_mm: length * 1000.0,
            shape: Shape::Flare {
                from_mm: 2000.0 * r(x0 + length),
                to_mm: 2000.0 * r(x0),
                exponent: 0.7,
            },
            slide: None,
            legs: 1,
            source: String::new(),
        };
        let tube = ideal(section.to_cones());
        agree(&poles(&tube, &air, 1800.0, 1.7), &expected, 1e-4);
    }
}

/// |Z| peaks of a lossy cylinder, 1 m by 11.66 mm, unflanged: 256-term evaluation in another
/// language (numpy) of the same published equations: (Hz, Q by half-power width, |Z|/Zc).
#[test]
fn lossy_cylinder() {
    let air = Air::dry(26.85).medium().unwrap();
    let a = 0.005_83;
    let tube = Tube::of(vec![Cone {
        r1: a,
        r2: a,
        length: 1.0,
    }]);
    let found = resonances(&tube, &air, 900.0).unwrap();
    let zc = air.rho * air.c / (PI * a * a);
    let published = [
        (83.911, 20.9),
        (255.052, 12.1),
        (426.792, 9.4),
        (598.780, 7.9),
        (770.913, 7.0),
    ];
    for (peak, (frequency, height)) in found.peaks.iter().zip(published) {
        assert!(
            1200.0 * (peak.frequency / frequency).log2().abs() < 0.5,
            "{}",
            peak.frequency
        );
        assert!(
            (peak.height / zc - height).abs() < 0.06,
            "{} {height}",
            peak.height / zc
        );
        // Q of a line is w / (2 alpha v_group) up to the loss by radiation; alpha and the phase
        // from the propagation constant (Chaigne & Kergomard, ch. 5).
        let omega = 2.0 * PI * peak.frequency;
        let gamma = |omega: f64| {
            let s = a * (omega * air.rho / air.mu).sqrt();
            let v = 1.0 / (1.0 - horn::impedance::thermoviscous(s));
            let t =
                1.0 + (air.gamma - 1.0) * horn::impedance::thermoviscous(s * air.prandtl.sqrt());
            (num_complex::Complex64::i() * omega / air.c) * (v * t).sqrt()
        };
        let slowness = (gamma(omega * 1.001).im - gamma(omega * 0.999).im) / (omega * 0.002);
        let (reflection, _) =
            horn::impedance::radiation_reflection(End::Unflanged, omega / air.c * a).unwrap();
        let lost = 2.0 * gamma(omega).re - reflection.ln();
        let q = omega * slowness / lost;
        assert!((peak.q / q - 1.0).abs() < 0.01, "Q {} expected {q}", peak.q);
    }
    assert_eq!(found.peaks.len(), 5);
}

/// Peaks are refined to 0.01 cent: half that to either side |Z| is lower than at the peak found, by the
/// curve itself, and the height is the curve's.
#[test]
fn peaks_are_refined_to_a_hundredth_of_a_cent() {
    let air = Air::default().medium().unwrap();
    for id in ["trumpet-bflat", "trombone-tenor", "tuba-bflat"] {
        let bore = horn::bore::generic_bore(id).unwrap();
        let tube = bore.tube(&Default::default(), None).unwrap();
        for peak in resonances(&tube, &air, 900.0).unwrap().peaks.iter().take(8) {
            // The zero of the slope of |Z|, by bisection on central differences.
            let slope = |cents: f64| {
                let f = peak.frequency * (cents / 1200.0).exp2();
                let z = input_impedance(&tube, &air, &[f * 0.9999, f * 1.0001]).unwrap();
                z[1].norm() - z[0].norm()
            };
            let (mut a, mut b) = (-5.0, 5.0);
            assert!(slope(a) > 0.0 && slope(b) < 0.0);
            for _ in 0..40 {
                let m = 0.5 * (a + b);
                if slope(m) > 0.0 { a = m } else { b = m }
            }
            assert!(
                a.abs() < 0.01,
                "{id} {:.1} Hz: {a:+.4} cents",
                peak.frequency
            );
            let z = input_impedance(&tube, &air, &[peak.frequency]).unwrap()[0].norm();
            assert!(
                (peak.height / z - 1.0).abs() < 1e-6,
                "{id} {:.1} Hz",
                peak.frequency
            );
        }
    }
}

#[test]
fn the_bell_takes_energy_and_never_gives_it() {
    let bore = horn::bore::generic_bore("trumpet-bflat").unwrap();
    let tube = bore.tube(&Default::default(), None).unwrap();
    let air = Air::default().medium().unwrap();
    let frequency: Vec<f64> = (1..4000).map(|i| f64::from(i) * 2.0).collect();
    let z = input_impedance(&tube, &air, &frequency).unwrap();
    assert!(z.iter().all(|z| z.re >= 0.0));
}

#[test]
fn modes_rebuild_the_curve_near_its_peaks() {
    let bore = horn::bore::generic_bore("trumpet-bflat").unwrap();
    let tube = bore.tube(&Default::default(), None).unwrap();
    let air = Air::default().medium().unwrap();
    let found = resonances(&tube, &air, 2500.0).unwrap();
    let modes: Vec<_> = found.peaks.iter().map(|p| p.mode).collect();
    for peak in found.peaks.iter().take(6) {
        for share in [0.98, 1.0, 1.02] {
            let f = peak.frequency * share;
            let exact = input_impedance(&tube, &air, &[f]).unwrap()[0];
            let sum = modal_impedance(&modes, f);
            assert!(
                (sum - exact).norm() < 0.12 * exact.norm(),
                "{f}: {sum} {exact}"
            );
        }
    }
}

#[test]
fn standing_wave_starts_at_the_input_impedance() {
    let bore = horn::bore::generic_bore("trumpet-bflat").unwrap();
    let tube = bore.tube(&Default::default(), None).unwrap();
    let air = Air::default().medium().unwrap();
    let wave = standing_wave(&tube, &air, 466.0).unwrap();
    let z = input_impedance(&tube, &air, &[466.0]).unwrap()[0];
    assert!((wave.pressure[0] - z).norm() < 1e-4 * z.norm());
    assert!((wave.distance.last().unwrap() - tube.length()).abs() < 1e-9);
}

/// Plane against spherical fronts on the generic trumpet: the question is worth tens of cents in the
/// upper resonances, the lower ones move least (transmission matrices have limits in steep flares:
/// Lefebvre, dissertation, McGill 2010).
#[test]
fn spherical_fronts_lower_the_resonances() {
    let bore = horn::bore::generic_bore("trumpet-bflat").unwrap();
    let air = Air::default().medium().unwrap();
    let state = Default::default();
    let plane = resonances(&bore.outline(&state, None).unwrap(), &air, 1000.0).unwrap();
    let round = resonances(&bore.tube(&state, None).unwrap(), &air, 1000.0).unwrap();
    let cents: Vec<f64> = (0..8)
        .map(|i| 1200.0 * (round.peaks[i].frequency / plane.peaks[i].frequency).log2())
        .collect();
    println!("{cents:.1?}");
    assert!(cents.iter().all(|c| (-60.0..0.0).contains(c)));
    assert!(cents[0].abs() < 10.0);
}
