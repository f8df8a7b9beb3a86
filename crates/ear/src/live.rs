//! Live hearing: blocks of samples in, the state of every 10 ms out.
//!
//! The same salience, model and fit as for files, one frame at a time. Nothing is allocated after
//! [`Live::new`]. A moment is given out once the sound that its window reaches ahead is in: that and
//! one step are the whole delay. The lowest pitch to come sets the window ([`Live::waiting_for`]);
//! it is no longer than [`t::LIVE_AHEAD_S`]: lower pitches see a window cut short at its end.

use crate::decode::{Back, Decoder, Model, Observation, Observer, State, Swing};
use crate::expected::Expected;
use crate::pitch::path::{Forward, From, SILENT, peak};
use crate::pitch::{Fine, Grid, Salience, SalienceFrame};
use crate::signal::level::{SILENCE_DB, decibels};
use crate::signal::{Decimator, Rates};
use crate::thresholds as t;
use crate::{analysis, decode};

/// Steps that the level is kept for: a quarter second.
const LEVELS: usize = 25;

/// What is heard at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moment {
    /// Seconds from the start of the stream.
    pub at_s: f64,
    /// Pitch in hertz; 0 where none sounds.
    pub hz: f64,
    /// Standard uncertainty of the pitch, cents.
    pub cents_uncertainty: f64,
    /// Share of the sound that the pitch explains, 0 to 1.
    pub periodicity: f64,
    /// Level, dB against full scale.
    pub level_db: f64,
    /// Line and note of the score that sounds, if one does.
    pub place: Option<(usize, usize)>,
    /// Distance from what that note asks for, cents.
    pub cents: Option<f64>,
}

/// Follows a stream.
#[derive(Debug)]
pub struct Live {
    rate: f64,
    decimator: Decimator,
    /// Working samples, the oldest first, and the number of the first, which is even.
    sound: Vec<f32>,
    first: usize,
    /// The same at half that rate.
    halver: Decimator,
    halved: Vec<f32>,
    keep: usize,
    next: usize,
    ahead_s: f64,
    salience: Salience,
    frame: SalienceFrame,
    grid: Grid,
    fine: Fine,
    forward: Forward,
    from: Vec<From>,
    score: Option<Score>,
    noise_db: f64,
    levels: [f64; LEVELS],
}

#[derive(Debug)]
struct Score {
    model: Model,
    targets: Vec<f64>,
    decoder: Decoder,
    back: Back,
    seen: Observation,
}

impl Live {
    /// For a stream of `rate` samples a second in blocks of at most `longest_block`, against a
    /// score or freely.
    #[must_use]
    pub fn new(rate: f64, longest_block: usize, expected: Option<&Expected>) -> Self {
        let longest_block = longest_block.max(1);
        let decimator = Decimator::new(rate, longest_block);
        let working = rate / decimator.factor() as f64;
        let salience = Salience::new(working);
        let grid = salience.grid();
        let keep = 2 * salience.reach() + (0.3 * working) as usize;
        let score = expected.filter(|e| e.count() > 0).map(|expected| {
            let model = Model::new(expected, grid, |_| 0.0);
            let target = |n: &decode::model::ModelNote| expected.note(n.line, n.note).map(|n| n.hz);
            let targets = model
                .notes
                .iter()
                .map(|n| target(n).unwrap_or(0.0))
                .collect();
            let decoder = Decoder::new(&model);
            let seen = Observation {
                pitch: Vec::with_capacity(model.pitches.len()),
                way: Vec::with_capacity(model.ways.len()),
                ..Observation::default()
            };
            Score {
                back: decoder.back(),
                targets,
                decoder,
                model,
                seen,
            }
        });
        let longest = longest_block / decimator.factor() + 2;
        let room = keep + longest_block / decimator.factor() + longest_block + 16;
        Self {
            rate: working,
            decimator,
            sound: Vec::with_capacity(2 * room),
            first: 0,
            halver: Decimator::by(2, longest),
            halved: Vec::with_capacity(room),
            keep,
            next: 0,
            ahead_s: t::LIVE_AHEAD_S.1,
            frame: salience.frame(),
            salience,
            grid,
            fine: Fine::new(working),
            forward: Forward::new(grid.count()),
            from: vec![SILENT; grid.count() + 1],
            score,
            noise_db: -60.0,
            levels: [SILENCE_DB; LEVELS],
        }
    }

    /// The same, for a stream whose pitches are seldom lower than this, hertz: the higher they lie,
    /// the sooner a moment is told. Anything but a positive number leaves the wait as it is.
    #[must_use]
    pub fn waiting_for(mut self, lowest_hz: f64) -> Self {
        if lowest_hz > 0.0 {
            let (least, most) = t::LIVE_AHEAD_S;
            self.ahead_s = (t::LIVE_AHEAD_PERIODS / lowest_hz).clamp(least, most);
        }
        self
    }

    /// Seconds from a sound to the moment that tells of it, computing aside.
    #[must_use]
    pub fn delay_s(&self) -> f64 {
        self.ahead_s + t::COARSE_STEP_S
    }

    /// Takes a block and tells every moment that it completes.
    pub fn push(&mut self, block: &[f32], mut tell: impl FnMut(&Moment)) {
        let before = self.sound.len();
        self.decimator.push(block, &mut self.sound);
        let new = self.sound.get(before..).unwrap_or(&[]);
        self.halver.push(new, &mut self.halved);
        let ahead = (self.ahead_s * self.rate) as usize;
        loop {
            let at_s = self.next as f64 * t::COARSE_STEP_S;
            let centre = (at_s * self.rate).round() as usize;
            if centre + ahead >= self.first + self.sound.len() {
                break;
            }
            let here = centre as isize - self.first as isize;
            let moment = self.moment(at_s, here);
            tell(&moment);
            self.next += 1;
        }
        let spare = self.sound.len().saturating_sub(self.keep) & !1;
        if spare > 0 {
            drop_first(&mut self.sound, spare);
            drop_first(&mut self.halved, spare / 2);
            self.first += spare;
        }
    }

    fn moment(&mut self, at_s: f64, here: isize) -> Moment {
        let level_db = self.level(here);
        self.levels.rotate_left(1);
        if let Some(last) = self.levels.last_mut() {
            *last = level_db;
        }
        let peak_db = self.levels.iter().copied().fold(SILENCE_DB, f64::max);
        // The noise is the lowest level of late; it may rise by 2 dB a second.
        self.noise_db = (self.noise_db + 2.0 * t::COARSE_STEP_S)
            .min(level_db)
            .max(-100.0);
        let silence = analysis::silence(level_db - self.noise_db, peak_db - level_db);
        let rates = Rates {
            whole: &self.sound,
            halved: &self.halved,
        };
        self.salience.look(rates, here, &mut self.frame);
        self.forward.step(&self.frame, silence, &mut self.from);

        let mut moment = Moment {
            at_s,
            level_db,
            ..Moment::default()
        };
        let index = match self.follow(silence, here) {
            Some((place, index)) => {
                moment.place = place;
                index
            }
            None => match self.forward.now() {
                SILENT => None,
                index => Some(usize::from(index)),
            },
        };
        let faint = level_db < self.noise_db + t::SOUND_OVER_NOISE_DB
            || level_db < peak_db - t::SOUND_UNDER_PEAK_DB;
        let Some(index) = index.filter(|_| !faint) else {
            return moment;
        };
        let guess = self.grid.hz(peak(&self.frame.of_pitch, index));
        let rates = Rates {
            whole: &self.sound,
            halved: &self.halved,
        };
        if let Some(fit) = self.fine.fit(rates, here, guess) {
            moment.hz = fit.hz;
            moment.cents_uncertainty = fit.cents_uncertainty;
            moment.periodicity = fit.periodicity;
            moment.cents = moment.place.and_then(|_| self.cents(fit.hz));
        }
        moment
    }

    /// One step of the score: the note that sounds and where its pitch peaks.
    #[allow(clippy::type_complexity)]
    fn follow(
        &mut self,
        silence: f32,
        here: isize,
    ) -> Option<(Option<(usize, usize)>, Option<usize>)> {
        // A rise is told too late for a listener who waits.
        let swing = Swing {
            dip_db: self.dip(here),
            ..Swing::default()
        };
        let score = self.score.as_mut()?;
        Observer::look(&score.model, &self.frame, silence, swing, &mut score.seen);
        score
            .decoder
            .step(&score.model, &score.seen, &mut score.back);
        let note = |i: usize| score.model.notes.get(i);
        Some(match score.decoder.now().1 {
            State::Note(i) => {
                let place = note(i).map(|n| (n.line, n.note));
                let pitch = note(i)
                    .and_then(|n| score.model.pitches.get(n.pitch))
                    .copied();
                let near = pitch.and_then(|p| {
                    crate::scored::best_near(&self.frame.of_pitch, p, t::ASKED_REACH_STEPS)
                });
                (place, near)
            }
            State::Other(_) | State::Way(_) | State::Hub => {
                let (index, salience) = self.frame.best();
                (None, (salience > silence).then_some(index))
            }
            State::Stop(_) => (None, None),
        })
    }

    fn cents(&self, hz: f64) -> Option<f64> {
        let score = self.score.as_ref()?;
        let State::Note(i) = score.decoder.now().1 else {
            return None;
        };
        let target = score.targets.get(i).copied().filter(|t| *t > 0.0)?;
        Some(1200.0 * (hz / target).log2())
    }

    /// Level of 12 ms each side of a sample.
    fn level(&self, here: isize) -> f64 {
        self.level_of(here, 0.012)
    }

    fn level_of(&self, here: isize, half_s: f64) -> f64 {
        let half = (half_s * self.rate) as isize;
        let from = (here - half).max(0) as usize;
        let to = ((here + half).max(0) as usize).min(self.sound.len());
        let stretch = self.sound.get(from..to.max(from)).unwrap_or(&[]);
        if stretch.is_empty() {
            return SILENCE_DB;
        }
        let mean = stretch.iter().map(|x| f64::from(*x)).sum::<f64>() / stretch.len() as f64;
        let power = stretch
            .iter()
            .map(|x| (f64::from(*x) - mean).powi(2))
            .sum::<f64>();
        decibels(power / stretch.len() as f64)
    }

    /// How far the level dips here below what comes just before and just after.
    fn dip(&self, here: isize) -> f64 {
        let step = (t::COARSE_STEP_S * self.rate) as isize;
        let level = |k: isize| self.level_of(here + k * step, 0.006);
        let before = (-8..0).map(level).fold(SILENCE_DB, f64::max);
        let after = (1..5).map(level).fold(SILENCE_DB, f64::max);
        (before.min(after) - level(0)).max(0.0)
    }
}

/// Forgets the oldest samples.
fn drop_first(sound: &mut Vec<f32>, count: usize) {
    let count = count.min(sound.len());
    sound.copy_within(count.., 0);
    sound.truncate(sound.len() - count);
}
