//! Stated intervals cover the truth at the stated rate, on simulated notes and lines.
//!
//! The track is made here with noise of a known size, so that what is tested is the measure and
//! not the tracker.
#![allow(clippy::cast_possible_truncation, clippy::unwrap_used)]

mod support;

use ear::heard::{Frame, HeardNote, Match, Track};
use ear::measure::{Take, evenness, same_roof, tone, vibrato, wander};
use ear::{Expected, Heard, Measure, Samples};
use support::random::Random;

const STEP_S: f64 = 0.005;
const RATE: f64 = 44_100.0;

fn note(hz: f64, seconds: f64) -> HeardNote {
    HeardNote {
        place: None,
        matched: Match::Extra,
        confidence: 1.0,
        onset_s: 0.0,
        offset_s: seconds,
        steady_s: (0.0, seconds),
        hz,
        cents: Measure::default(),
        cents_uncertainty: 0.1,
        level_db: -20.0,
        slurred: false,
    }
}

/// A take of one note whose track follows `cents` with noise of `sigma`, alike over 30 ms.
fn tracked(cents: &[f64], sigma: f64, random: &mut Random) -> Heard {
    let hz = 233.08;
    let reach = (wander::FRAME_WINDOW_S / STEP_S) as usize;
    let white = random.normals(cents.len() + reach);
    let frames = cents
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let noise: f64 = white[i..i + reach].iter().sum::<f64>() / (reach as f64).sqrt();
            Frame {
                hz: hz * ((c + sigma * noise) / 1200.0).exp2(),
                cents_uncertainty: sigma as f32,
                periodicity: 1.0,
                level_db: -20.0,
            }
        })
        .collect::<Vec<_>>();
    let seconds = frames.len() as f64 * STEP_S;
    Heard {
        seconds,
        track: Track {
            step_s: STEP_S,
            frames,
        },
        notes: vec![note(hz, seconds)],
        ..Heard::default()
    }
}

fn with<T>(heard: &Heard, samples: &Samples, of: impl Fn(&ear::measure::View<'_>) -> T) -> T {
    let expected = Expected::default();
    let take = Take::new(samples, &expected, heard, &[]);
    of(&take.view(0).unwrap())
}

/// Share of trials whose 95 % interval holds the truth.
fn covered(trials: &[(Measure, f64)]) -> f64 {
    let holds = |(m, truth): &&(Measure, f64)| match m {
        Measure::Known { value, uncertainty } => (value - truth).abs() <= 1.96 * uncertainty,
        Measure::Unknown { .. } => false,
    };
    trials.iter().filter(holds).count() as f64 / trials.len() as f64
}

fn deviation(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    (squares / (values.len() - 1) as f64).sqrt()
}

/// Slow wander: the sum of a few slow sines below any vibrato's rate.
fn wandering(count: usize, size: f64, random: &mut Random) -> Vec<f64> {
    let waves: Vec<(f64, f64, f64)> = (0..4)
        .map(|_| {
            (
                random.between(0.3, 2.2),
                random.between(0.0, std::f64::consts::TAU),
                random.normal(),
            )
        })
        .collect();
    let scale = size / 2.0_f64.sqrt();
    (0..count)
        .map(|i| {
            let t = i as f64 * STEP_S;
            let one = |(hz, phase, a): &(f64, f64, f64)| {
                a * (std::f64::consts::TAU * hz * t + phase).sin()
            };
            scale * waves.iter().map(one).sum::<f64>()
        })
        .collect()
}

fn nothing() -> Samples {
    Samples::new(RATE, vec![0.0; 441])
}

#[test]
fn wander_covers_the_truth() {
    let mut random = Random::new(401);
    for (size, sigma) in [(8.0, 1.0), (3.0, 1.0), (8.0, 3.0)] {
        let trials: Vec<(Measure, f64)> = (0..300)
            .map(|_| {
                let cents = wandering(200, size, &mut random);
                let heard = tracked(&cents, sigma, &mut random);
                (with(&heard, &nothing(), wander::measure), deviation(&cents))
            })
            .collect();
        let share = covered(&trials);
        assert!(share >= 0.88, "size {size}, noise {sigma}: {share}");
    }
}

#[test]
fn vibrato_covers_the_truth_and_a_wander_is_none() {
    let mut random = Random::new(402);
    let (mut rates, mut extents) = (Vec::new(), Vec::new());
    for _ in 0..300 {
        let (hz, extent) = (random.between(4.0, 7.0), random.between(10.0, 30.0));
        let phase = random.between(0.0, std::f64::consts::TAU);
        let cents: Vec<f64> = (0..200)
            .map(|i| extent * (std::f64::consts::TAU * hz * f64::from(i) * STEP_S + phase).sin())
            .collect();
        let heard = tracked(&cents, 1.0, &mut random);
        let (rate, size) = with(&heard, &nothing(), vibrato::measure);
        rates.push((rate, hz));
        extents.push((size, extent));
    }
    assert!(covered(&rates) >= 0.9, "rate {}", covered(&rates));
    assert!(covered(&extents) >= 0.9, "extent {}", covered(&extents));
    let false_ones = (0..300)
        .filter(|_| {
            let cents = wandering(200, 5.0, &mut random);
            let heard = tracked(&cents, 1.0, &mut random);
            with(&heard, &nothing(), vibrato::measure)
                .0
                .value()
                .is_some()
        })
        .count();
    assert!(false_ones <= 6, "{false_ones} of 300");
}

/// A tone of known harmonics in white noise of a known level.
fn sounding(hz: f64, levels_db: &[f64], noise: f64, random: &mut Random) -> Samples {
    let count = (0.8 * RATE) as usize;
    let mut data = vec![0.0_f32; count];
    for (h, db) in levels_db.iter().enumerate() {
        let gain = 0.1 * 10.0_f64.powf(db / 20.0);
        let phase = random.between(0.0, std::f64::consts::TAU);
        for (n, x) in data.iter_mut().enumerate() {
            let turn = std::f64::consts::TAU * hz * (h + 1) as f64 * n as f64 / RATE;
            *x += (gain * (turn + phase).sin()) as f32;
        }
    }
    for x in &mut data {
        *x += (noise * random.normal()) as f32;
    }
    Samples::new(RATE, data)
}

#[test]
fn partials_cover_the_truth() {
    let mut random = Random::new(403);
    let mut partials = Vec::new();
    for trial in 0..40 {
        let hz = [58.27, 116.54, 233.08, 466.16][trial % 4]
            * (random.between(-30.0, 30.0) / 1200.0).exp2();
        let levels: Vec<f64> = (0..24)
            .map(|h| -2.0 * f64::from(h) + random.between(-4.0, 4.0))
            .collect();
        let noise = 0.1 * 10.0_f64.powf(random.between(-50.0, -20.0) / 20.0);
        let samples = sounding(hz, &levels, noise, &mut random);
        let mut heard = tracked(&[0.0; 160], 0.5, &mut random);
        heard.notes = vec![note(hz, 0.8)];
        let tone = with(&heard, &samples, tone::measure);
        let power = |db: &f64| 10.0_f64.powf(db / 10.0);
        let total: f64 = levels.iter().take(12).map(power).sum();
        for (measure, level) in tone.partials_db.iter().zip(&levels) {
            if measure.value().is_some() {
                partials.push((*measure, level - 10.0 * total.log10()));
            }
        }
    }
    assert!(covered(&partials) >= 0.9, "partials {}", covered(&partials));
}

/// Harmonics to noise, against the noise that was put in: power over the band of the harmonics.
#[test]
fn noise_covers_the_truth() {
    let mut random = Random::new(405);
    let mut found = Vec::new();
    for trial in 0..60 {
        let hz = [116.54, 174.61, 233.08, 466.16][trial % 4]
            * (random.between(-30.0, 30.0) / 1200.0).exp2();
        let levels: Vec<f64> = (0..24)
            .map(|h| -1.5 * f64::from(h) + random.between(-3.0, 3.0))
            .collect();
        let noise = 0.1 * 10.0_f64.powf(random.between(-42.0, -15.0) / 20.0);
        let samples = sounding(hz, &levels, noise, &mut random);
        let mut heard = tracked(&[0.0; 160], 0.5, &mut random);
        heard.notes = vec![note(hz, 0.8)];
        let tone = with(&heard, &samples, tone::measure);
        let harmonics: f64 = levels
            .iter()
            .map(|db| 0.005 * 10.0_f64.powf(db / 10.0))
            .sum();
        let hiss = noise * noise * 24.0 * hz / (RATE / 2.0);
        let truth = 10.0 * (harmonics / hiss).log10();
        if let Some(value) = tone.noise_db.value() {
            assert!((value - truth).abs() < 1.5, "{hz}: {value}, truth {truth}");
        }
        found.push((tone.noise_db, truth));
    }
    assert!(covered(&found) >= 0.88, "noise {}", covered(&found));
}

#[test]
fn evenness_covers_the_truth() {
    let mut random = Random::new(404);
    for notes in [5, 9, 20] {
        let (mut spreads, mut trends) = (Vec::new(), Vec::new());
        for _ in 0..500 {
            let points: Vec<(f64, f64)> = (0..notes)
                .map(|i| {
                    let x = f64::from(i) / 6.0;
                    (x, 3.0 * x - 20.0 + 2.0 * random.normal())
                })
                .collect();
            let (spread, trend) = evenness::measure(&points);
            spreads.push((spread, 2.0));
            trends.push((trend, 3.0));
        }
        let (s, t) = (covered(&spreads), covered(&trends));
        assert!(s >= 0.84, "{notes}: spread {s}");
        assert!(t >= 0.84, "{notes}: trend {t}");
    }
}

#[test]
fn the_same_sound_louder_is_no_distance() {
    let sound = |gain: f64| {
        ear::measure::Envelope((0..12).map(|h| Some(gain - 3.0 * f64::from(h))).collect())
    };
    let distance = same_roof::distance(&sound(0.0), &sound(-9.0))
        .value()
        .unwrap();
    assert!(distance < 1e-9);
    let mut other = sound(0.0);
    for level in other.0.iter_mut().skip(6) {
        *level = level.map(|l| l + 6.0);
    }
    let distance = same_roof::distance(&sound(0.0), &other).value().unwrap();
    assert!((distance - 3.13).abs() < 0.01, "{distance}");
}

#[test]
fn the_page_of_measures_is_the_table() {
    let place = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/measures.md");
    let page = std::fs::read_to_string(place).unwrap_or_default();
    let table = ear::measure::table::markdown();
    if page != table {
        let fresh = concat!(env!("CARGO_TARGET_TMPDIR"), "/measures.md");
        std::fs::write(fresh, &table).unwrap();
        panic!("docs/measures.md is not the table any more: copy {fresh} over it");
    }
}
