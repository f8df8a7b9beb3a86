//! Levels against published tables and a peer: ITU-R BS.1770-4, IEC 61672-1, the `ebur128` crate.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use ear::Samples;
use ear::level::{Calibration, CalibrationError, Weighted, Weighting, a_weighting_db};

fn tone(rate: f64, hz: f64, gain: f64, seconds: f64) -> Samples {
    let count = (rate * seconds) as usize;
    let wave = |n: usize| (gain * (std::f64::consts::TAU * hz * n as f64 / rate).sin()) as f32;
    Samples::new(rate, (0..count).map(wave).collect::<Vec<f32>>())
}

/// BS.1770-4, annex 1: a 0 dBFS, 997 Hz sine in one channel reads -3.01 LKFS.
#[test]
fn a_full_scale_sine_reads_minus_3_01() {
    for rate in [32_000.0, 44_100.0, 48_000.0, 96_000.0] {
        let level = Weighted::k(&tone(rate, 997.0, 1.0, 3.0))
            .level_db(0.5, 3.0)
            .unwrap();
        assert!((level + 3.01).abs() < 0.02, "{rate}: {level}");
    }
}

/// BS.1770-4, annex 1, tables 1 and 2 give the coefficients at 48 kHz; the gain they have at some
/// frequencies, evaluated from the printed numbers.
#[test]
fn the_k_weighting_has_the_printed_gain() {
    use std::f64::consts::TAU;
    let printed = |hz: f64| {
        let w = TAU * hz / 48_000.0;
        let power = |c: [f64; 3]| {
            let re = c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos();
            let im = c[1] * w.sin() + c[2] * (2.0 * w).sin();
            re * re + im * im
        };
        let shelf = power([
            1.535_124_859_586_97,
            -2.691_696_189_406_38,
            1.198_392_810_852_85,
        ]) / power([1.0, -1.690_659_293_182_41, 0.732_480_774_215_85]);
        let pass =
            power([1.0, -2.0, 1.0]) / power([1.0, -1.990_047_454_833_98, 0.990_072_250_366_21]);
        10.0 * (shelf * pass).log10()
    };
    let k = Weighting::k(48_000.0);
    for hz in [
        30.0, 60.0, 100.0, 500.0, 1_000.0, 2_000.0, 5_000.0, 10_000.0,
    ] {
        let gain = k.gain_db(hz, 48_000.0);
        assert!(
            (gain - printed(hz)).abs() < 1e-3,
            "{hz}: {gain} {}",
            printed(hz)
        );
    }
}

/// The peer: a brass-like sound through `ebur128`'s momentary loudness.
#[test]
fn a_peer_gives_the_same_momentary_level() {
    let rate = 44_100.0;
    let data: Vec<f32> = (0..88_200)
        .map(|n| {
            let t = f64::from(n) / rate;
            let wave =
                |h: i32| (std::f64::consts::TAU * 116.54 * f64::from(h) * t).sin() / f64::from(h);
            (0.2 * (1..=30).map(wave).sum::<f64>()) as f32
        })
        .collect();
    let mut peer = ebur128::EbuR128::new(1, 44_100, ebur128::Mode::M).unwrap();
    peer.add_frames_f32(&data).unwrap();
    let theirs = peer.loudness_momentary().unwrap();
    let ours = Weighted::k(&Samples::new(rate, data))
        .level_db(1.6, 2.0)
        .unwrap();
    assert!((ours - theirs).abs() < 0.05, "{ours} {theirs}");
}

/// IEC 61672-1:2013, table 3: A weighting (dB) and class 1 limits at nominal third octaves.
/// The limits are from memory of that table; the weightings are checked to 0.1 dB by formula.
const IEC: [(f64, f64, f64, f64); 17] = [
    (31.5, -39.4, 1.5, -1.5),
    (63.0, -26.2, 1.0, -1.0),
    (100.0, -19.1, 1.0, -1.0),
    (125.0, -16.1, 1.0, -1.0),
    (160.0, -13.4, 1.0, -1.0),
    (200.0, -10.9, 1.0, -1.0),
    (250.0, -8.6, 1.0, -1.0),
    (500.0, -3.2, 1.0, -1.0),
    (800.0, -0.8, 1.0, -1.0),
    (1_000.0, 0.0, 0.7, -0.7),
    (2_000.0, 1.2, 1.0, -1.0),
    (2_500.0, 1.3, 1.0, -1.0),
    (4_000.0, 1.0, 1.0, -1.0),
    (8_000.0, -1.1, 1.5, -2.5),
    (10_000.0, -2.5, 2.0, -3.0),
    (12_500.0, -4.3, 2.0, -5.0),
    (16_000.0, -6.6, 2.5, -16.0),
];

#[test]
fn the_a_weighting_follows_the_table() {
    for (nominal, table, up, down) in IEC {
        // Exact third-octave centres, base ten (IEC 61260-1).
        let hz = 10.0_f64.powf((10.0 * nominal.log10()).round() / 10.0);
        assert!(
            (a_weighting_db(hz) - table).abs() < 0.06,
            "{nominal}: {}",
            a_weighting_db(hz)
        );
        for rate in [44_100.0, 48_000.0] {
            let off = Weighting::a(rate).gain_db(hz, rate) - table;
            assert!(off <= up && off >= down, "{nominal} at {rate}: {off}");
        }
    }
}

#[test]
fn a_reading_calibrates_and_bad_ones_say_why() {
    let held = tone(44_100.0, 1_000.0, 0.1, 4.0);
    let calibration = Calibration::from_reading(&held, 88.0).unwrap();
    // 0.1 of full scale at 1 kHz is -23.01 dB, A-weighted too.
    assert!(
        (calibration.offset_db - 111.01).abs() < 0.05,
        "{calibration:?}"
    );
    let louder = tone(44_100.0, 1_000.0, 0.2, 2.0);
    let level = Weighted::a(&louder).level_db(0.2, 2.0).unwrap();
    let dba = Calibration::dba(Some(calibration), level, 0.0)
        .value()
        .unwrap();
    assert!((dba - 94.02).abs() < 0.05, "{dba}");
    assert!(Calibration::dba(None, level, 0.0).value().is_none());
    assert!(matches!(
        Calibration::from_reading(&tone(44_100.0, 1_000.0, 0.1, 0.5), 88.0),
        Err(CalibrationError::TooShort { .. })
    ));
    assert!(matches!(
        Calibration::from_reading(&held, 400.0),
        Err(CalibrationError::Reading { .. })
    ));
}
