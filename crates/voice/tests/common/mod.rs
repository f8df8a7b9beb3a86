//! A part made by hand, and measurements of sound.
// Each test file uses its own share; helpers of tests may unwrap.
#![allow(dead_code, clippy::unwrap_used)]

use std::f64::consts::TAU;

use horn::{LengthId, NoteKind};
use routine::part::{Articulation, Dynamic, Event, Fingered, Line, Note, Part, Ticks, Totals};
use tone::{Cents, Clef, KeySignature, Transposition};
use voice::Audio;

/// A quarter note of this sounding pitch, tongued, no mark.
pub(crate) fn quarter(sounding: &str) -> Note {
    let sounding = sounding.parse().unwrap();
    let transposition = Transposition::CONCERT;
    Note {
        id: format!("n{sounding}"),
        written: transposition.written(sounding),
        sounding,
        duration: Ticks(960),
        fingering: Fingered {
            length: LengthId(0),
            label: "0".to_owned(),
            partial: 4,
            cents: Cents(0.0),
            alternate: false,
            kind: NoteKind::Partial,
            reason: String::new(),
        },
        slurred: false,
        articulation: Articulation::Plain,
        dynamic: None,
    }
}

/// A line at 60 quarters a minute on root B-flat 2 with a rest of four seconds after it.
pub(crate) fn line(events: Vec<Event>) -> Line {
    Line {
        id: "l1".to_owned(),
        label: String::new(),
        exercise: "long-notes".to_owned(),
        key: KeySignature(0),
        root: "Bb2".parse().unwrap(),
        events,
        rest_after: Ticks(4 * 960),
        tempo: 60.0,
        load: 0.0,
    }
}

/// A part in four-four.
pub(crate) fn part(lines: Vec<Line>) -> Part {
    Part {
        title: "Two lines".to_owned(),
        purpose: String::new(),
        cautions: Vec::new(),
        words: String::new(),
        player: String::new(),
        instrument: "trombone-tenor".to_owned(),
        instrument_name: "Tenor trombone".to_owned(),
        clef: Clef::Bass,
        transposition: Transposition::CONCERT,
        meter: Some((4, 4)),
        lines,
        sections: Vec::new(),
        left_out: Vec::new(),
        warnings: Vec::new(),
        totals: Totals::default(),
    }
}

/// Notes as events, each slurred from the one before when `slurred`.
pub(crate) fn notes(names: &[&str], slurred: bool) -> Vec<Event> {
    let mut events = Vec::new();
    for (index, name) in names.iter().enumerate() {
        let mut note = quarter(name);
        note.slurred = slurred && index > 0;
        note.dynamic = (index == 0).then_some(Dynamic::Mf);
        events.push(Event::Note(note));
    }
    events
}

/// The samples between two times.
pub(crate) fn between(audio: &Audio, from: f64, to: f64) -> &[f32] {
    let at = |seconds: f64| (seconds * f64::from(audio.rate.per_second())).round() as usize;
    &audio.samples[at(from)..at(to)]
}

/// Amplitude and phase of a frequency in samples, Blackman-Harris window (side lobes -92 dB).
pub(crate) fn component(samples: &[f32], rate: f64, hz: f64) -> (f64, f64) {
    let (mut real, mut imaginary, mut weight) = (0.0, 0.0, 0.0);
    let size = samples.len() as f64;
    for (index, sample) in samples.iter().enumerate() {
        let x = index as f64 / size;
        let window = 0.35875 - 0.48829 * (TAU * x).cos() + 0.14128 * (2.0 * TAU * x).cos()
            - 0.01168 * (3.0 * TAU * x).cos();
        let (sine, cosine) = (TAU * hz * index as f64 / rate).sin_cos();
        real += f64::from(*sample) * window * cosine;
        imaginary -= f64::from(*sample) * window * sine;
        weight += window;
    }
    (2.0 * real.hypot(imaginary) / weight, imaginary.atan2(real))
}

/// The frequency near a guess, from the phase that it gains between two halves.
pub(crate) fn frequency(samples: &[f32], rate: f64, guess: f64) -> f64 {
    let half = samples.len() / 2;
    let mut hz = guess;
    for _ in 0..3 {
        let (_, first) = component(&samples[..half], rate, hz);
        let (_, second) = component(&samples[half..2 * half], rate, hz);
        // The second half's phase is counted from its own start.
        let ahead = second - first - TAU * hz * half as f64 / rate;
        let ahead = (ahead + TAU / 2.0).rem_euclid(TAU) - TAU / 2.0;
        hz += ahead / TAU * rate / half as f64;
    }
    hz
}

/// Root mean square in dB below full scale.
pub(crate) fn rms_db(samples: &[f32]) -> f64 {
    let sum: f64 = samples.iter().map(|x| f64::from(*x).powi(2)).sum();
    10.0 * (sum / samples.len().max(1) as f64).log10()
}

/// The greatest second difference: a step or a kink of size d gives about d.
pub(crate) fn sharpest(samples: &[f32]) -> f64 {
    samples
        .windows(3)
        .map(|w| (f64::from(w[0]) - 2.0 * f64::from(w[1]) + f64::from(w[2])).abs())
        .fold(0.0, f64::max)
}
