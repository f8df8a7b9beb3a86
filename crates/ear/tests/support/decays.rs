//! Short notes in rooms whose reverberation time is known.
//!
//! A room is white noise under an exponential decay. Its reverberation time is known by
//! construction and measured again by the integrated impulse response (Schroeder, J. Acoust. Soc.
//! Am. 37 (1965) 409; ISO 3382-1: the line through -5 to -25 dB, T20).

use ear::Samples;

use super::random::Random;
use super::rooms::{add_noise, echo};
use super::takes::{Builder, Manner, RATE, TROMBONE, TRUMPET, at};

/// Reverberation times, seconds, and direct over reverberant sound, dB.
pub const ROOMS: [(f64, f64); 5] = [(0.4, 3.0), (0.6, 3.0), (0.9, 3.0), (1.2, 3.0), (1.8, 0.0)];

/// T20 of an impulse response by backward integration.
fn schroeder(impulse: &[f64]) -> f64 {
    let mut left = 0.0;
    let mut decay: Vec<f64> = impulse
        .iter()
        .rev()
        .map(|x| {
            left += x * x;
            left
        })
        .collect();
    decay.reverse();
    let db = |x: &f64| 10.0 * (x / decay[0]).max(1e-12).log10();
    let points: Vec<(f64, f64)> = decay
        .iter()
        .enumerate()
        .map(|(i, x)| (i as f64 / RATE, db(x)))
        .filter(|(_, l)| (-25.0..=-5.0).contains(l))
        .collect();
    let n = points.len() as f64;
    let (mx, my) = points
        .iter()
        .fold((0.0, 0.0), |(a, b), (x, y)| (a + x / n, b + y / n));
    let (sxy, sxx) = points.iter().fold((0.0, 0.0), |(a, b), (x, y)| {
        (a + (x - mx) * (y - my), b + (x - mx).powi(2))
    });
    -60.0 * sxx / sxy
}

/// Short notes with a rest after each, in a room, and its T20.
pub fn take(rt60_s: f64, direct_db: f64, seed: u64) -> (Samples, f64) {
    let mut b = Builder::new(seed);
    b.silence(0.5);
    for (i, hz) in [233.08, 349.23, 293.66, 466.16, 174.61, 392.0]
        .iter()
        .enumerate()
    {
        let how = Manner {
            timbre: if i % 2 == 0 { TROMBONE } else { TRUMPET },
            vibrato_cents: 0.0,
            vibrato_hz: 5.0,
            scoop_cents: 0.0,
            release_s: 0.03,
        };
        let seconds = b.random.between(0.4, 0.7);
        b.phrase(&[(*hz, seconds, None)], how);
        b.silence((0.8 * rt60_s).max(0.4));
    }
    let (take, mut random) = b.done();
    let on: Vec<bool> = take.hz.iter().map(|f| *f > 0.0).collect();
    let mut impulse = vec![0.0; at(2.5 * rt60_s)];
    impulse[0] = 1.0;
    let mut same = Random::new(seed ^ 0xEC40);
    let mut response = echo(&impulse, rt60_s, direct_db, &mut same);
    response[0] -= 1.0;
    let truth = schroeder(&response);
    let mut same = Random::new(seed ^ 0xEC40);
    let wet = echo(&take.sound, rt60_s, direct_db, &mut same);
    let wet = add_noise(&wet, &on, 50.0, &mut random);
    let peak = wet.iter().fold(1e-12_f64, |m, x| m.max(x.abs()));
    let data: Vec<f32> = wet.iter().map(|x| (x / peak * 0.5) as f32).collect();
    (Samples::new(RATE, data), truth)
}
