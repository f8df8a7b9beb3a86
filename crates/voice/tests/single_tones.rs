//! Notes and drones by themselves: frequency, level, no aliases, no clicks, the same twice.
//!
//! Measured with a windowed Fourier sum (Blackman-Harris; F. J. Harris, Proc. IEEE 66 (1978) 51).

#![allow(clippy::unwrap_used)] // helpers of tests may unwrap

mod common;

use common::{between, component, frequency, rms_db, sharpest};
use tone::Hertz;
use voice::{Drone, Dynamic, Rate, Stack, VoiceError, click, level_dbfs, note};

fn cents(a: f64, b: f64) -> f64 {
    1200.0 * (a / b).log2()
}

#[test]
fn a_note_has_its_frequency_and_level() {
    for rate in [8_000, 22_050, 44_100, 48_000, 96_000] {
        for hz in [58.27, 116.54, 233.082, 466.164, 1_318.51] {
            for dynamic in [Dynamic::Pp, Dynamic::Mf, Dynamic::Ff] {
                let audio = note(Hertz(hz), 1.2, dynamic, Rate::new(rate).unwrap()).unwrap();
                let steady = between(&audio, 0.1, 1.1);
                let off = cents(frequency(steady, rate.into(), hz), hz);
                assert!(off.abs() < 0.1, "{hz} Hz at {rate}: {off} cents");
                let level = rms_db(steady);
                assert!(
                    (level - level_dbfs(dynamic)).abs() < 0.2,
                    "{hz} {rate}: {level}"
                );
            }
        }
    }
}

#[test]
fn nothing_folds_back() {
    // Where harmonics above half the rate would land if they were made.
    for (rate, hz) in [
        (8_000_u32, 1_318.51),
        (22_050, 1_864.66),
        (44_100, 2_349.32),
        (48_000, 4_186.01),
    ] {
        let audio = note(Hertz(hz), 1.0, Dynamic::Ff, Rate::new(rate).unwrap()).unwrap();
        let steady = between(&audio, 0.1, 0.9);
        let rate = f64::from(rate);
        let (first, _) = component(steady, rate, hz);
        let mut probed = 0;
        for number in 2..=60 {
            let true_hz = f64::from(number) * hz;
            let folded = (true_hz - rate * (true_hz / rate).round()).abs();
            let to_harmonic = (folded / hz - (folded / hz).round()).abs() * hz;
            if true_hz < rate / 2.0 || to_harmonic < 40.0 || folded < 40.0 {
                continue;
            }
            probed += 1;
            let (alias, _) = component(steady, rate, folded);
            let db = 20.0 * (alias / first).log10();
            assert!(
                db < -85.0,
                "harmonic {number} of {hz} at {rate}: {db} dB at {folded} Hz"
            );
        }
        assert!(probed > 20, "{probed}");
    }
}

#[test]
fn a_note_begins_and_ends_without_a_click() {
    let rate = Rate::default();
    let audio = note(Hertz(233.08), 0.5, Dynamic::Ff, rate).unwrap();
    let steady = sharpest(between(&audio, 0.1, 0.4));
    let with_silence = [vec![0.0; 100], audio.samples.clone(), vec![0.0; 100]].concat();
    assert!(sharpest(&with_silence) <= steady * 1.05);
    assert!(audio.samples.first().unwrap().abs() < 1e-6);
}

#[test]
fn a_drone_is_steady_pure_and_the_same_in_any_pieces() {
    let rate = Rate::default();
    let root = 116.5409;
    let mut drone =
        Drone::new(Hertz(root), Stack::FifthAndOctave, Drone::PURE_FIFTH, rate).unwrap();
    let mut whole = vec![0.0; 3 * 48_000];
    drone.fill(&mut whole);
    let steady = &whole[24_000..];
    // The fifth is 3/2: its second harmonic and the root's third are one line that does not beat.
    for (multiple, hz) in [(1.0, root), (1.5, 1.5 * root), (2.0, 2.0 * root)] {
        let off = cents(frequency(steady, 48_000.0, hz), hz);
        assert!(off.abs() < 0.1, "{multiple}: {off}");
    }
    let seconds: Vec<f64> = steady.chunks(24_000).map(rms_db).collect();
    let spread = seconds.iter().fold(f64::MIN, |a, b| a.max(*b))
        - seconds.iter().fold(f64::MAX, |a, b| a.min(*b));
    assert!(spread < 0.1, "{seconds:?}");

    let mut again =
        Drone::new(Hertz(root), Stack::FifthAndOctave, Drone::PURE_FIFTH, rate).unwrap();
    let mut pieces = vec![0.0; whole.len()];
    for piece in pieces.chunks_mut(333) {
        again.fill(piece);
    }
    assert_eq!(whole, pieces);
}

#[test]
fn a_drone_goes_softly_and_then_is_silent() {
    let mut drone = Drone::new(
        Hertz(220.0),
        Stack::Root,
        Drone::PURE_FIFTH,
        Rate::default(),
    )
    .unwrap();
    let mut sound = vec![0.0; 48_000];
    drone.fill(&mut sound);
    let steady = sharpest(&sound[24_000..]);
    drone.stop();
    assert!(!drone.is_over());
    let mut end = vec![0.0; 24_000];
    drone.fill(&mut end);
    assert!(drone.is_over());
    sound.extend(end);
    assert!(sharpest(&sound) <= steady * 1.05);
    assert!(sound[60_000..].iter().all(|x| *x == 0.0));
}

#[test]
fn a_click_is_short_and_starts_and_ends_at_nothing() {
    for first in [true, false] {
        let audio = click(Rate::default(), first);
        assert!(audio.seconds() < 0.1);
        assert_eq!(audio.samples[0], 0.0);
        assert!(audio.samples.last().unwrap().abs() < 1e-4);
        let peak = audio.samples.iter().fold(0.0_f32, |a, b| a.max(b.abs()));
        assert!(peak > 0.1 && peak < 0.3, "{peak}");
    }
}

#[test]
fn what_cannot_sound_is_refused() {
    let rate = Rate::default();
    for hz in [0.0, -100.0, 24_000.0, f64::NAN, f64::INFINITY] {
        let error = note(Hertz(hz), 1.0, Dynamic::Mf, rate).unwrap_err();
        assert!(matches!(error, VoiceError::Frequency { .. }), "{error}");
        assert!(Drone::new(Hertz(hz), Stack::Root, Drone::PURE_FIFTH, rate).is_err());
    }
    for seconds in [f64::NAN, f64::INFINITY, 1e9] {
        assert!(matches!(
            note(Hertz(440.0), seconds, Dynamic::Mf, rate),
            Err(VoiceError::Long { .. })
        ));
    }
    assert!(Rate::new(0).is_err() && Rate::new(7_999).is_err() && Rate::new(400_000).is_err());
    // Very short is not an error: it is very short.
    for seconds in [-1.0, 0.0, 1e-5, 0.001] {
        assert!(note(Hertz(440.0), seconds, Dynamic::Mf, rate).is_ok());
    }
}
