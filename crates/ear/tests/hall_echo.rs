//! How loud the echoes of the simulated room and hall are beside the player (`support/rooms.rs`): their ratios are those
//! of the whole band, and the echo has lost its treble, so that in the band of brass it is louder than they say.
#![allow(clippy::print_stdout)]

mod support;

use ear::thresholds::HALL_SHARE;
use support::random::Random;
use support::rooms::echo;
use support::takes::RATE;

/// Power of the echo over that of the direct sound, for tones of 200 to 1,900 Hz that have sounded for long.
fn share(rt60_s: f64, direct_db: f64) -> f64 {
    let length = (RATE * (rt60_s + 1.0)) as usize;
    let tones: Vec<f64> = (0..60).map(|k| 200.0 + 28.9 * f64::from(k)).collect();
    let dry: Vec<f64> = (0..length)
        .map(|n| {
            let wave = |hz: &f64| (std::f64::consts::TAU * hz * n as f64 / RATE + hz).sin();
            tones.iter().map(wave).sum()
        })
        .collect();
    let (mut direct, mut reverberant) = (0.0, 0.0);
    for seed in 1..=6 {
        let wet = echo(&dry, rt60_s, direct_db, &mut Random::new(seed));
        let steady = (RATE * rt60_s) as usize;
        for (dry, wet) in dry.iter().zip(&wet).skip(steady) {
            direct += dry * dry;
            reverberant += (wet - dry).powi(2);
        }
    }
    reverberant / direct
}

#[test]
fn the_hall_is_as_loud_as_its_threshold_says() {
    let (room, hall) = (share(0.5, 6.0), share(1.2, 3.0));
    println!("echo over direct sound: room {room:.2}, hall {hall:.2}");
    assert!((hall / HALL_SHARE - 1.0).abs() < 0.15, "{hall}");
}
