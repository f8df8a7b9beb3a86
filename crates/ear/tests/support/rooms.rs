//! What lies between the bell and the file: noise, echo, a small microphone, metronome clicks.

use realfft::RealFftPlanner;

use super::random::Random;
use super::takes::{RATE, at};

/// White and pink noise, half each, `snr_db` below the sounding parts.
pub fn add_noise(sound: &[f64], sounding: &[bool], snr_db: f64, random: &mut Random) -> Vec<f64> {
    let (sum, count) = sound
        .iter()
        .zip(sounding)
        .filter(|(_, on)| **on)
        .fold((0.0, 0.0), |(s, n), (x, _)| (s + x * x, n + 1.0));
    let rms = (sum / f64::max(count, 1.0)).sqrt();
    let pink = pink(sound.len(), random);
    let white = random.normals(sound.len());
    let noise: Vec<f64> = pink
        .iter()
        .zip(&white)
        .map(|(p, w)| 0.7 * (p + w))
        .collect();
    let gain = rms * 10_f64.powf(-snr_db / 20.0) / deviation(&noise);
    sound
        .iter()
        .zip(&noise)
        .map(|(x, n)| x + gain * n)
        .collect()
}

fn deviation(x: &[f64]) -> f64 {
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    (x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / x.len() as f64).sqrt()
}

fn pink(n: usize, random: &mut Random) -> Vec<f64> {
    let size = n.next_power_of_two();
    let mut white = random.normals(size);
    let mut plan = RealFftPlanner::<f64>::new();
    let forward = plan.plan_fft_forward(size);
    let mut bins = forward.make_output_vec();
    forward.process(&mut white, &mut bins).expect("sizes agree");
    for (k, bin) in bins.iter_mut().enumerate() {
        *bin /= (k as f64 * RATE / size as f64).max(30.0).sqrt();
    }
    plan.plan_fft_inverse(size)
        .process(&mut bins, &mut white)
        .expect("sizes agree");
    white.truncate(n);
    let scale = deviation(&white);
    white.iter_mut().for_each(|x| *x /= scale);
    white
}

/// Echo: exponentially decaying noise after 8 ms, low-passed at 4 kHz; reverberation time in
/// seconds and direct-to-reverberant ratio in dB.
pub fn echo(sound: &[f64], rt60_s: f64, direct_db: f64, random: &mut Random) -> Vec<f64> {
    let n = at(rt60_s);
    let quiet = at(0.008);
    let mut impulse: Vec<f64> = (0..n)
        .map(|i| {
            let x = random.normal();
            let decay = 10_f64.powf(-3.0 * i as f64 / RATE / rt60_s);
            if i < quiet { 0.0 } else { x * decay }
        })
        .collect();
    let size = (sound.len() + n).next_power_of_two();
    let mut plan = RealFftPlanner::<f64>::new();
    let forward = plan.plan_fft_forward(size);
    let inverse = plan.plan_fft_inverse(size);
    impulse.resize(size, 0.0);
    let mut response = forward.make_output_vec();
    forward
        .process(&mut impulse, &mut response)
        .expect("sizes agree");
    for (k, bin) in response.iter_mut().enumerate() {
        *bin /= 1.0 + (k as f64 * RATE / size as f64 / 4000.0).powi(2);
    }
    let bins = response.len() as f64;
    let energy = response
        .iter()
        .map(realfft::num_complex::Complex::norm_sqr)
        .sum::<f64>()
        / bins;
    let gain = 10_f64.powf(-direct_db / 20.0) / energy.sqrt();
    let mut padded = sound.to_vec();
    padded.resize(size, 0.0);
    let mut spectrum = forward.make_output_vec();
    forward
        .process(&mut padded, &mut spectrum)
        .expect("sizes agree");
    for (s, r) in spectrum.iter_mut().zip(&response) {
        *s *= *r * gain + 1.0;
    }
    spectrum[0].im = 0.0;
    if let Some(last) = spectrum.last_mut() {
        last.im = 0.0;
    }
    inverse
        .process(&mut spectrum, &mut padded)
        .expect("sizes agree");
    padded.truncate(sound.len());
    padded.iter().map(|x| x / size as f64).collect()
}

/// A small microphone: 4th-order Butterworth high-pass.
pub fn high_pass(sound: &[f64], hz: f64) -> Vec<f64> {
    let mut out = sound.to_vec();
    for q in [0.541_196_100_146_197, 1.306_562_964_876_376] {
        let w = std::f64::consts::TAU * hz / RATE;
        let (sin, cos) = w.sin_cos();
        let alpha = sin / (2.0 * q);
        let (b0, b1) = (f64::midpoint(1.0, cos), -(1.0 + cos));
        let (a0, a1, a2) = (1.0 + alpha, -2.0 * cos, 1.0 - alpha);
        let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
        for x in &mut out {
            let y = (b0 * *x + b1 * x1 + b0 * x2 - a1 * y1 - a2 * y2) / a0;
            (x2, x1, y2, y1) = (x1, *x, y1, y);
            *x = y;
        }
    }
    out
}

/// A metronome: 30 ms clicks of 1,760 Hz every 0.6 s, 1.2 times the RMS of the sounding parts.
pub fn add_clicks(sound: &mut [f64], rms: f64) {
    let mut time = 0.25;
    while time < sound.len() as f64 / RATE - 0.1 {
        for (i, x) in sound.iter_mut().skip(at(time)).take(at(0.03)).enumerate() {
            let t = i as f64 / RATE;
            *x += rms * 1.2 * (-t / 0.006).exp() * (std::f64::consts::TAU * 1760.0 * t).sin();
        }
        time += 0.6;
    }
}
