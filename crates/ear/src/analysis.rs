//! What every later stage looks at: the working sound, its levels and its salience.

use crate::Samples;
use crate::pitch::salience::TOGETHER;
use crate::pitch::{Grid, Salience, SalienceFrame};
use crate::signal::{Levels, Rates, halved, working};
use crate::thresholds as t;

/// A take made ready for hearing.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The sound at the working rate.
    pub sound: Samples,
    /// The same at half that rate, for what is looked at no higher than 4 kHz.
    pub halved: Samples,
    /// Its running level.
    pub levels: Levels,
    /// The pitch grid.
    pub grid: Grid,
    /// Salience every [`t::COARSE_STEP_S`].
    pub salience: Vec<SalienceFrame>,
    /// Salience of silence at every step, from the level alone.
    pub silence: Vec<f32>,
    /// Level of the noise between the notes, dB against full scale.
    pub noise_db: f64,
    /// Level of the quietest 20 ms, dB: where a take has no pause, a note still begins above it.
    pub quietest_db: f64,
    /// True when each bin's echo was held, as in a hall.
    pub echo_held: bool,
}

impl Analysis {
    /// Analyses a take.
    #[must_use]
    pub fn new(samples: &Samples) -> Self {
        let sound = working(samples);
        let levels = Levels::new(&sound.data, sound.rate);
        let count = (sound.seconds() / t::COARSE_STEP_S).floor() as usize + 1;
        let salience = Salience::new(sound.rate);
        let grid = salience.grid();
        let halved = halved(&sound);
        let rates = Rates {
            whole: &sound.data,
            halved: &halved.data,
        };
        let salience_frames = frames(salience, rates, sound.rate, count);
        let noise_db = noise(&levels, sound.seconds());
        let quietest_db = quietest(&levels, sound.seconds());
        let silence = silences(&levels, count, noise_db);
        Self {
            silence,
            grid,
            salience: salience_frames,
            levels,
            halved,
            sound,
            noise_db,
            quietest_db,
            echo_held: false,
        }
    }

    /// The same take looked at once more, each bin's echo held as in a room of this reverberation
    /// time, seconds.
    #[must_use]
    pub fn with_echo_held(mut self, rt60_s: f64) -> Self {
        let mut salience = Salience::new(self.sound.rate);
        salience.hold_echo(rt60_s);
        self.salience = frames(salience, self.rates(), self.sound.rate, self.salience.len());
        self.echo_held = true;
        self
    }

    /// The sound at both rates.
    #[must_use]
    pub fn rates(&self) -> Rates<'_> {
        Rates {
            whole: &self.sound.data,
            halved: &self.halved.data,
        }
    }

    /// Level around a moment over whole periods of a pitch (8 ms or more), dB.
    #[must_use]
    pub fn level_db(&self, at_s: f64, hz: f64) -> f64 {
        let half = level_window_s(hz) / 2.0;
        self.levels.db(at_s - half, at_s + half)
    }

    /// Sample of the working sound at a time.
    #[must_use]
    pub fn centre(&self, at_s: f64) -> isize {
        (at_s * self.sound.rate).round() as isize
    }
}

/// The salience of the first `count` steps.
fn frames(mut salience: Salience, rates: Rates<'_>, rate: f64, count: usize) -> Vec<SalienceFrame> {
    let centre = |i: usize| (i as f64 * t::COARSE_STEP_S * rate).round() as isize;
    let mut frames: Vec<SalienceFrame> = (0..count).map(|_| salience.frame()).collect();
    for (k, some) in frames.chunks_mut(TOGETHER).enumerate() {
        let first = k * TOGETHER;
        if let Ok(all) = <&mut [SalienceFrame; TOGETHER]>::try_from(&mut *some) {
            let centres = std::array::from_fn(|i| centre(first + i));
            salience.look_at(rates, centres, all.each_mut());
        } else {
            for (i, frame) in some.iter_mut().enumerate() {
                salience.look(rates, centre(first + i), frame);
            }
        }
    }
    frames
}

/// Whole periods of `hz` that last [`t::LEVEL_WINDOW_S`] or more, so that the level does not
/// ripple with the wave itself.
#[must_use]
pub fn level_window_s(hz: f64) -> f64 {
    if hz > 0.0 {
        (t::LEVEL_WINDOW_S * hz).ceil().max(1.0) / hz
    } else {
        t::LEVEL_WINDOW_S
    }
}

/// Salience of silence at `count` coarse steps.
fn silences(levels: &Levels, count: usize, noise_db: f64) -> Vec<f32> {
    let level = |i: usize| {
        let at = i as f64 * t::COARSE_STEP_S;
        levels.db(at - 0.012, at + 0.012)
    };
    let all: Vec<f64> = (0..count).map(level).collect();
    let back = (0.25 / t::COARSE_STEP_S) as usize;
    all.iter()
        .enumerate()
        .map(|(i, now)| {
            let past = all.get(i.saturating_sub(back)..=i).unwrap_or(&[]);
            let peak = past.iter().copied().fold(f64::MIN, f64::max);
            silence(now - noise_db, peak - now)
        })
        .collect()
}

/// Salience of silence at a level over the noise and under the loudest of late (dB).
#[must_use]
pub fn silence(over_noise_db: f64, under_peak_db: f64) -> f32 {
    let quiet =
        (t::SILENCE_OVER_NOISE_DB - over_noise_db).max(under_peak_db - t::SILENCE_UNDER_PEAK_DB);
    let share = (1.0 + quiet / 12.0).clamp(0.0, 1.0) as f32;
    t::PATH_SILENCE_LOUD + share * (t::PATH_SILENCE - t::PATH_SILENCE_LOUD)
}

/// Level of the quietest 20 ms.
fn quietest(levels: &Levels, seconds: f64) -> f64 {
    let count = (seconds / 0.02).floor() as usize;
    (0..count)
        .map(|i| levels.db(i as f64 * 0.02, (i + 1) as f64 * 0.02))
        .fold(0.0, f64::min)
}

/// The level that one tenth of all 20 ms stretches stay below, but no more than
/// [`t::NOISE_UNDER_LOUD_DB`] under the loud ones: a take without a pause has no noise to measure.
fn noise(levels: &Levels, seconds: f64) -> f64 {
    let count = (seconds / 0.02).floor() as usize;
    let mut all: Vec<f64> = (0..count)
        .map(|i| levels.db(i as f64 * 0.02, (i + 1) as f64 * 0.02))
        .collect();
    all.sort_by(f64::total_cmp);
    let share = |x: f64| {
        all.get((all.len() as f64 * x) as usize)
            .copied()
            .unwrap_or(-150.0)
    };
    share(0.02).min(share(0.9) - t::NOISE_UNDER_LOUD_DB)
}
