//! A player made of recordings: real notes, retuned and set one after another along a part.

use routine::part::{Event, Line};

use super::recordings::Recording;

/// Samples a second of what the band plays.
pub(crate) const RATE: u32 = 44_100;

/// How a player of the scenario plays: what is not quite right yet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Habit {
    /// Cents above the target on every note.
    pub(crate) tuning: f64,
    /// Further cents for each octave above the line's first note.
    pub(crate) climb: f64,
    /// Spread of single notes, cents.
    pub(crate) spread: f64,
    /// Loss of level for each octave upward, dB.
    pub(crate) fade: f64,
    /// Seeds the spread: the same number, the same take.
    pub(crate) seed: u64,
}

impl Habit {
    /// The same player later on: `left` of every fault remains; another day's chance.
    pub(crate) fn improved(self, left: f64) -> Self {
        Self {
            tuning: self.tuning * left,
            climb: self.climb * left,
            spread: self.spread * left,
            fade: self.fade * left,
            seed: self.seed + 1,
        }
    }
}

/// Plays lines after half a second of silence; level and pitch as the habit has them.
pub(crate) fn play(lines: &[&Line], recordings: &[Recording], habit: Habit) -> Vec<f32> {
    let mut out = vec![0.0; RATE as usize / 2];
    let mut chance = Chance(habit.seed | 1);
    for line in lines {
        let Some(first) = line.notes().next() else {
            continue;
        };
        let bottom = first.sounding.midi();
        let mut at = out.len();
        let mut events = line.events.iter().peekable();
        while let Some(event) = events.next() {
            let (note, duration) = match event {
                Event::Note(note) => (Some(note), note.duration),
                Event::Rest { duration } => (None, *duration),
                Event::Breath => continue,
            };
            let length = (duration.seconds(line.tempo) * f64::from(RATE)) as usize;
            if let Some(note) = note {
                let octaves = f64::from(note.sounding.midi() - bottom) / 12.0;
                let cents = habit.tuning + habit.climb * octaves + habit.spread * chance.bell();
                let hz =
                    440.0 * (f64::from(note.sounding.midi() - 69) / 12.0 + cents / 1200.0).exp2();
                let level = 0.5 * 10_f64.powf(-habit.fade * octaves / 20.0);
                let on = matches!(events.peek(), Some(Event::Note(next)) if next.slurred);
                let stroke = Stroke {
                    hz,
                    level,
                    length,
                    slurred: note.slurred,
                    on,
                };
                stroke.add_to(&mut out, at, recordings);
            }
            at += length;
            out.resize(out.len().max(at), 0.0);
        }
        out.resize(at + RATE as usize * 3 / 4, 0.0);
    }
    out.iter()
        .map(|x| (x + 0.0003 * chance.bell()) as f32)
        .collect()
}

/// One note to be played.
struct Stroke {
    hz: f64,
    level: f64,
    length: usize,
    /// Slurred from the note before.
    slurred: bool,
    /// The next note is slurred from this one.
    on: bool,
}

impl Stroke {
    /// Adds the nearest recording, retuned, at a place of the take.
    fn add_to(&self, out: &mut Vec<f64>, at: usize, recordings: &[Recording]) {
        let away = |r: &Recording| (r.f0 / self.hz).log2().abs();
        let Some(source) = recordings.iter().min_by(|a, b| away(a).total_cmp(&away(b))) else {
            return;
        };
        let step = self.hz / source.f0 * source.rate / f64::from(RATE);
        // A slurred note enters past the recorded attack, crossing over from the old one.
        let skip = if self.slurred {
            0.15 * source.rate
        } else {
            0.0
        };
        let cross = RATE as usize / 40;
        let sounding = if self.on {
            self.length + cross
        } else {
            self.length * 19 / 20
        };
        let fade_in = if self.slurred { cross } else { 1 };
        let fade_out = if self.on { cross } else { RATE as usize / 20 };
        out.resize(out.len().max(at + sounding), 0.0);
        for (i, place) in out.iter_mut().skip(at).take(sounding).enumerate() {
            let up = (i as f64 / fade_in as f64).min(1.0);
            let down = ((sounding - i) as f64 / fade_out as f64).min(1.0);
            *place += self.level * up * down * at_position(&source.samples, skip + i as f64 * step);
        }
    }
}

/// The sound between samples, by four-point Hermite interpolation; silence past the end.
fn at_position(samples: &[f32], position: f64) -> f64 {
    let i = position as usize;
    let t = position - i as f64;
    let point = |k: usize| samples.get(k).copied().map_or(0.0, f64::from);
    let (a, b, c, d) = (
        point(i.saturating_sub(1)),
        point(i),
        point(i + 1),
        point(i + 2),
    );
    let slope = 0.5 * (c - a);
    let square = a - 2.5 * b + 2.0 * c - 0.5 * d;
    let cube = 0.5 * (d - a) + 1.5 * (b - c);
    ((cube * t + square) * t + slope) * t + b
}

/// A small repeatable source of chance (xorshift64: Marsaglia 2003).
struct Chance(u64);

impl Chance {
    fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// About a standard normal: twelve uniform numbers less six.
    fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}
