//! Notes joined by slurs, as one unbroken tone.

use routine::part::Dynamic;
use tone::Hertz;

use crate::harmonics::{Harmonics, Slope};
use crate::level::{amplitude, corner_hz, level_dbfs, rise};
use crate::{Audio, Rate, VoiceError};

/// How long a tongued note takes to stand, seconds.
const ATTACK_S: f64 = 0.015;
/// How long a note takes to die away, seconds; part of its length.
const RELEASE_S: f64 = 0.040;
/// How long a slur takes from one note to the next, seconds.
const SLUR_S: f64 = 0.030;
/// How much an accent stands out at first, dB, and for how long.
const ACCENT_DB: f64 = 4.0;
const ACCENT_S: f64 = 0.12;
/// Longest sound rendered at once, seconds.
pub(crate) const LONGEST_S: f64 = 3600.0;

/// One note of a phrase.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Held {
    /// First sample.
    pub(crate) from: usize,
    /// One past the last sample.
    pub(crate) to: usize,
    pub(crate) hz: f64,
    pub(crate) level_db: f64,
    pub(crate) accent: bool,
}

/// Adds a phrase to a mix: the first note is tongued, the others slurred from the one before.
pub(crate) fn add(mix: &mut [f32], rate: Rate, notes: &[Held]) {
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else {
        return;
    };
    let length = last.to.saturating_sub(first.from) as f64 / rate.hz();
    let attack = ATTACK_S.min(length / 3.0);
    let release = RELEASE_S.min(length / 3.0);
    let mut oscillator = Harmonics::new(rate);
    let mut before: Option<&Held> = None;
    for note in notes {
        let Some(span) = mix.get_mut(note.from..note.to) else {
            return;
        };
        let bend = Bend::new(before.unwrap_or(note), note, span.len() as f64 / rate.hz());
        for (index, sample) in span.iter_mut().enumerate() {
            let (hz, gain, slope) = bend.at(index as f64 / rate.hz());
            let at = (note.from + index - first.from) as f64 / rate.hz();
            let mut shape = 1.0;
            if at < attack {
                shape = rise(at / attack);
            }
            if length - at < release {
                shape *= rise((length - at) / release);
            }
            *sample += (oscillator.next(hz, slope) * gain * shape) as f32;
        }
        before = Some(note);
    }
}

/// How a note comes out of the one before it: frequency and level over its time.
struct Bend<'a> {
    from: &'a Held,
    to: &'a Held,
    /// How long the slur takes, seconds.
    slur: f64,
    /// How long the accent takes to die away, seconds; 0 without one.
    accent: f64,
    held: (f64, f64, Slope),
}

impl<'a> Bend<'a> {
    fn new(from: &'a Held, to: &'a Held, length: f64) -> Self {
        Self {
            from,
            to,
            // A slur takes no more than half of a quick note, an accent no more than all of it.
            slur: SLUR_S.min(length / 2.0),
            accent: if to.accent { ACCENT_S.min(length) } else { 0.0 },
            held: values(to.hz, to.level_db),
        }
    }

    /// Frequency, gain and slope at a time into the note.
    fn at(&self, into: f64) -> (f64, f64, Slope) {
        if into >= self.slur && into >= self.accent {
            return self.held;
        }
        let way = rise(into / self.slur);
        let (from, to) = (self.from, self.to);
        let mut level = from.level_db + (to.level_db - from.level_db) * way;
        if into < self.accent {
            // Grows with the slur, so that the level never jumps.
            level += ACCENT_DB * way * (1.0 - rise(into / self.accent));
        }
        values(from.hz * (to.hz / from.hz).powf(way), level)
    }
}

fn values(hz: f64, level_db: f64) -> (f64, f64, Slope) {
    let slope = Slope {
        power: 1.0,
        corner_hz: corner_hz(level_db),
    };
    (hz, amplitude(level_db), slope)
}

/// A plain harmonic tone of one frequency, with its attack and release within the length.
///
/// # Errors
/// [`VoiceError::Frequency`] for a frequency that has no place below half the rate,
/// [`VoiceError::Long`] for more than an hour or a length that is no number.
pub fn note(
    frequency: Hertz,
    seconds: f64,
    dynamic: Dynamic,
    rate: Rate,
) -> Result<Audio, VoiceError> {
    rate.check(frequency)?;
    check_length(seconds)?;
    let mut samples = vec![0.0; rate.sample(seconds)];
    let held = Held {
        from: 0,
        to: samples.len(),
        hz: frequency.0,
        level_db: level_dbfs(dynamic),
        accent: false,
    };
    add(&mut samples, rate, &[held]);
    Ok(Audio::from_mix(rate, samples, Vec::new()))
}

/// Fails for more than can be rendered at once.
pub(crate) fn check_length(seconds: f64) -> Result<(), VoiceError> {
    if seconds <= LONGEST_S {
        Ok(())
    } else {
        Err(VoiceError::Long {
            seconds,
            most: LONGEST_S,
        })
    }
}
