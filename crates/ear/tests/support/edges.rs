//! A single note with exact truth about its edges: scoop, rise, waver, sag and fade in noise.

use ear::Samples;
use ear::level::Weighting;

use super::random::Random;
use super::rooms::add_noise;
use super::takes::{RATE, at};
use super::timbre::{TROMBONE, TRUMPET, TUBA, additive, rise, smooth_noise};

/// Step of the level, seconds.
const STEP_S: f64 = 0.0005;
/// Before its end a note is held for at least so long, seconds.
const HELD_S: f64 = 0.3;

/// One simulated note: what was played, and its sound.
pub struct Played {
    pub hz: Vec<f64>,
    /// K-weighted level every [`STEP_S`], dB.
    levels_db: Vec<f64>,
    /// When the fade begins, seconds.
    fades_s: f64,
    /// First sample of the note in the take.
    from: usize,
    pub samples: Samples,
}

/// A note that begins with a scoop and a rise, ends with a sag and a fade, in noise.
pub fn play(random: &mut Random) -> Played {
    let tones = [
        (58.27, TUBA),
        (87.31, TUBA),
        (116.54, TROMBONE),
        (174.61, TROMBONE),
        (233.08, TRUMPET),
        (349.23, TRUMPET),
        (466.16, TRUMPET),
        (698.46, TRUMPET),
    ];
    let (nominal, timbre) = tones[random.whole(0, tones.len() as i32) as usize];
    let nominal = nominal * (random.between(-40.0, 40.0) / 1200.0).exp2();
    let seconds = random.between(0.6, 1.2);
    let count = at(seconds);
    let (scoop, fast) = (random.between(-60.0, 25.0), random.between(0.02, 0.06));
    let (sag, slow) = (random.between(-35.0, 20.0), random.between(0.08, 0.35));
    let wander = smooth_noise(count, 3.0, random);
    let hz: Vec<f64> = (0..count)
        .map(|i| {
            let s = i as f64 / RATE;
            let left = ((seconds - s) / slow).min(1.0);
            let cents = scoop * (-s / fast).exp() + sag * (1.0 - left) + wander[i];
            nominal * (cents / 1200.0).exp2()
        })
        .collect();
    let mut amp: Vec<f64> = smooth_noise(count, 6.0, random)
        .iter()
        .map(|x| 0.6 * 10_f64.powf(0.5 * x / 20.0))
        .collect();
    let (begin, end) = (random.between(0.015, 0.06), random.between(0.03, 0.25));
    for (x, r) in amp.iter_mut().zip(rise(at(begin))) {
        *x *= r;
    }
    for (x, r) in amp.iter_mut().rev().zip(rise(at(end))) {
        *x *= r;
    }
    let k = Weighting::k(RATE);
    let weight = |hz: f64| 10_f64.powf(k.gain_db(hz, RATE) / 10.0);
    let levels_db = (0..(seconds / STEP_S) as usize)
        .map(|i| at(i as f64 * STEP_S).min(count - 1))
        .map(|i| 10.0 * timbre.power(hz[i], amp[i], weight).log10())
        .collect();
    let (before, after) = (at(0.4), at(0.5));
    let mut sound: Vec<f64> = vec![0.0; before];
    sound.extend(additive(&hz, &amp, timbre, random));
    sound.resize(before + count + after, 0.0);
    let on: Vec<bool> = (0..sound.len())
        .map(|i| (before..before + count).contains(&i))
        .collect();
    let snr_db = random.between(32.0, 50.0);
    let sound = add_noise(&sound, &on, snr_db, random);
    let peak = sound.iter().fold(1e-12_f64, |m, x| m.max(x.abs()));
    let data: Vec<f32> = sound.iter().map(|x| (x / peak * 0.5) as f32).collect();
    Played {
        hz,
        levels_db,
        fades_s: seconds - end,
        from: before,
        samples: Samples::new(RATE, data),
    }
}

impl Played {
    pub fn cents(&self, from_s: f64, to_s: f64, over_hz: f64) -> Vec<f64> {
        let (from, to) = (at(from_s.max(0.0)), at(to_s).min(self.hz.len()));
        self.hz[from..to.max(from)]
            .iter()
            .step_by(22)
            .map(|f| 1200.0 * (f / over_hz).log2())
            .collect()
    }

    /// Median pitch of the steady part as it was heard, hertz.
    pub fn steady_hz(&self, steady_s: (f64, f64)) -> f64 {
        let start = self.from as f64 / RATE;
        let cents = self.cents(steady_s.0 - start, steady_s.1 - start, 1.0);
        (median(cents) / 1200.0).exp2()
    }

    /// First moment that is no further than this below the held note, or the last, seconds.
    pub fn reaches(&self, below_db: f64, from_end: bool) -> f64 {
        let place = |s: f64| (s / STEP_S) as usize;
        let held = place(self.fades_s - HELD_S)..place(self.fades_s);
        let line = median(self.levels_db[held].to_vec()) - below_db;
        let above = |level: &f64| *level >= line;
        let found = if from_end {
            self.levels_db.iter().rposition(above)
        } else {
            self.levels_db.iter().position(above)
        };
        found.unwrap_or(0) as f64 * STEP_S
    }
}

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}
