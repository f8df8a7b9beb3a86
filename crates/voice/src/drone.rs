//! The drone: a steady, gentle tone to tune to.

use serde::{Deserialize, Serialize};
use tone::{Cents, Hertz};

use crate::harmonics::{Harmonics, Slope};
use crate::level::{amplitude, rise};
use crate::{Rate, VoiceError};

/// Level of a drone, RMS dBFS: well under a note played mezzo-forte.
const LEVEL_DB: f64 = -30.0;
/// A soft slope: few harmonics above the third octave.
const SLOPE: Slope = Slope {
    power: 1.3,
    corner_hz: 1200.0,
};
/// How much weaker the tones stacked on the root are.
const STACKED_DB: f64 = -6.0;
/// How long it takes to come and to go, seconds.
const FADE_S: f64 = 0.25;

/// What a drone holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stack {
    /// The root alone.
    #[default]
    Root,
    /// Root and the fifth above.
    Fifth,
    /// Root, fifth and octave.
    FifthAndOctave,
}

/// A drone that sounds until it is told to stop; gives samples in pieces of any size and never
/// allocates after it is made.
///
/// ```
/// use tone::{Cents, Hertz};
/// use voice::{Drone, Rate, Stack};
///
/// let rate = Rate::new(48_000)?;
/// let mut drone = Drone::new(Hertz(116.54), Stack::Fifth, Drone::PURE_FIFTH, rate)?;
/// let mut piece = [0.0; 512];
/// drone.fill(&mut piece);
/// drone.stop();
/// while !drone.is_over() {
///     drone.fill(&mut piece);
/// }
/// # Ok::<(), voice::VoiceError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Drone {
    rate: Rate,
    voices: [Option<(Harmonics, f64, f64)>; 3],
    /// Samples given since the start.
    given: u64,
    /// When it was told to stop.
    stopped_at: Option<u64>,
}

impl Drone {
    /// A fifth of ratio 3/2, which beats with nothing; the tempered one is 700 cents.
    pub const PURE_FIFTH: Cents = Cents(701.955_000_865_387_4);

    /// A drone on a root.
    ///
    /// # Errors
    /// [`VoiceError::Frequency`] when root, fifth or octave has no place below half the rate.
    pub fn new(root: Hertz, stack: Stack, fifth: Cents, rate: Rate) -> Result<Self, VoiceError> {
        let second = (stack != Stack::Root).then(|| root.shifted(fifth));
        let third = (stack == Stack::FifthAndOctave).then_some(Hertz(2.0 * root.0));
        for tone in [Some(root), second, third].into_iter().flatten() {
            rate.check(tone)?;
        }
        let voice = |tone: Hertz, db| (Harmonics::new(rate), tone.0, amplitude(db));
        Ok(Self {
            rate,
            voices: [
                Some(voice(root, LEVEL_DB)),
                second.map(|tone| voice(tone, LEVEL_DB + STACKED_DB)),
                third.map(|tone| voice(tone, LEVEL_DB + STACKED_DB)),
            ],
            given: 0,
            stopped_at: None,
        })
    }

    /// Overwrites a piece with the next samples.
    pub fn fill(&mut self, piece: &mut [f32]) {
        piece.fill(0.0);
        self.add(piece);
    }

    /// Lets the drone die away from the next sample on.
    pub fn stop(&mut self) {
        self.stopped_at.get_or_insert(self.given);
    }

    /// True when it has died away.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.stopped_at
            .is_some_and(|at| self.given - at >= self.rate.sample(FADE_S) as u64)
    }

    /// Adds the next samples to a mix.
    pub(crate) fn add(&mut self, piece: &mut [f32]) {
        for sample in piece {
            let at = self.given as f64 / self.rate.hz();
            let stopped = |from: u64| (self.given - from) as f64 / self.rate.hz() / FADE_S;
            let shape = rise(at / FADE_S)
                * self
                    .stopped_at
                    .map_or(1.0, |from| 1.0 - rise(stopped(from)));
            for (harmonics, hz, gain) in self.voices.iter_mut().flatten() {
                *sample += (harmonics.next(*hz, SLOPE) * *gain * shape) as f32;
            }
            self.given += 1;
        }
    }
}

/// Adds a drone over a span of a mix, fades within the span.
pub(crate) fn add_span(mix: &mut [f32], span: std::ops::Range<usize>, mut drone: Drone) {
    let fade = drone.rate.sample(FADE_S).min(span.len() / 2);
    let Some(span) = mix.get_mut(span) else {
        return;
    };
    let (held, end) = span.split_at_mut(span.len() - fade);
    drone.add(held);
    drone.stop();
    drone.add(end);
}
