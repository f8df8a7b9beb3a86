//! Simulated brass takes with exact truth: sustained, slurred and tongued, from a seed.

use super::random::Random;
use super::rooms::{add_clicks, add_noise, echo, high_pass};
pub use super::timbre::{TROMBONE, TRUMPET, TUBA, Timbre};
use super::timbre::{additive, rise, smooth_noise};
use ear::{Expected, ExpectedLine, ExpectedNote, Samples, TubePartial};

/// Sample rate of every simulated take.
pub const RATE: f64 = 44_100.0;

/// Place of a time in samples.
pub fn at(seconds: f64) -> usize {
    (seconds * RATE).round().max(0.0) as usize
}

/// The truth about one slur.
#[derive(Clone, Debug)]
pub struct SlurTruth {
    /// Start and end of the change, seconds.
    pub from_s: f64,
    pub to_s: f64,
    /// Frequencies left and entered.
    pub old_hz: f64,
    pub new_hz: f64,
    /// The partial between, if there is one, and whether it was caught.
    pub between_hz: Option<f64>,
    pub caught: bool,
    /// For how long it was held, seconds; 0 where none was.
    pub hold_s: f64,
}

/// A take and its truth.
#[derive(Clone, Debug)]
pub struct Take {
    pub name: &'static str,
    pub sound: Vec<f64>,
    /// Fundamental per sample; 0 in silence.
    pub hz: Vec<f64>,
    /// Inside a slur, per sample.
    pub changing: Vec<bool>,
    pub onsets: Vec<f64>,
    pub offsets: Vec<f64>,
    pub slurs: Vec<SlurTruth>,
    pub expected: Expected,
}

impl Take {
    pub fn samples(&self) -> Samples {
        let peak = self.sound.iter().fold(1e-12_f64, |m, x| m.max(x.abs()));
        let data: Vec<f32> = self.sound.iter().map(|x| (x / peak * 0.5) as f32).collect();
        Samples::new(RATE, data)
    }

    fn with(&self, name: &'static str, sound: Vec<f64>) -> Self {
        Self {
            name,
            sound,
            ..self.clone()
        }
    }

    fn sounding(&self) -> Vec<bool> {
        self.hz.iter().map(|f| *f > 0.0).collect()
    }
}

/// How a note goes on to the next.
#[derive(Clone, Copy)]
pub enum Link {
    /// A glide of some seconds; the partial skipped, if any.
    Clean(f64, Option<f64>),
    /// A glide of some seconds to a partial, held for some seconds, and on.
    Caught { glide: f64, hz: f64, hold: f64 },
}

/// How the pitch goes from one note to the next.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Glide {
    /// A raised cosine.
    Eased,
    /// Evenly in log frequency.
    Straight,
}

/// How a phrase is played.
#[derive(Clone, Copy)]
pub struct Manner {
    pub timbre: Timbre,
    pub vibrato_cents: f64,
    pub vibrato_hz: f64,
    pub scoop_cents: f64,
    pub release_s: f64,
}

/// Builds a take from phrases and silences.
pub struct Builder {
    pub random: Random,
    pub glide: Glide,
    take: Take,
}

impl Builder {
    pub fn new(seed: u64) -> Self {
        let take = Take {
            name: "",
            sound: Vec::new(),
            hz: Vec::new(),
            changing: Vec::new(),
            onsets: Vec::new(),
            offsets: Vec::new(),
            slurs: Vec::new(),
            expected: Expected::default(),
        };
        Self {
            random: Random::new(seed),
            glide: Glide::Eased,
            take,
        }
    }

    pub fn silence(&mut self, seconds: f64) {
        let n = self.take.sound.len() + at(seconds);
        self.take.sound.resize(n, 0.0);
        self.take.hz.resize(n, 0.0);
        self.take.changing.resize(n, false);
    }

    /// One breath: notes (frequency, seconds, link to the next), one attack, one release.
    pub fn phrase(&mut self, notes: &[(f64, f64, Option<Link>)], how: Manner) {
        let start = self.take.sound.len();
        let mut pitch = Vec::new();
        let mut changing = Vec::new();
        let mut changes = Vec::new();
        self.take.onsets.push(start as f64 / RATE);
        for (i, (hz, seconds, link)) in notes.iter().enumerate() {
            pitch.resize(pitch.len() + at(*seconds), hz.log2());
            changing.resize(pitch.len(), false);
            let (Some(link), Some(next)) = (link, notes.get(i + 1)) else {
                continue;
            };
            let from = pitch.len();
            let shape = self.glide;
            let glide = |pitch: &mut Vec<f64>, a: f64, b: f64, s: f64| {
                let count = at(s);
                pitch.extend(rise(count).enumerate().map(|(i, eased)| {
                    let way = match shape {
                        Glide::Eased => eased,
                        Glide::Straight => (i as f64 + 0.5) / count as f64,
                    };
                    a.log2() + (b.log2() - a.log2()) * way
                }));
            };
            let between = match *link {
                Link::Clean(s, skipped) => {
                    glide(&mut pitch, *hz, next.0, s);
                    skipped
                }
                Link::Caught {
                    glide: s,
                    hz: middle,
                    hold,
                } => {
                    glide(&mut pitch, *hz, middle, s);
                    pitch.resize(pitch.len() + at(hold), middle.log2());
                    glide(&mut pitch, middle, next.0, s);
                    Some(middle)
                }
            };
            changing.resize(pitch.len(), true);
            changes.push((from, pitch.len()));
            let (from_s, to_s) = (
                (start + from) as f64 / RATE,
                (start + pitch.len()) as f64 / RATE,
            );
            self.take.onsets.push(f64::midpoint(from_s, to_s));
            self.take.offsets.push(f64::midpoint(from_s, to_s));
            self.take.slurs.push(SlurTruth {
                from_s,
                to_s,
                old_hz: *hz,
                new_hz: next.0,
                between_hz: between,
                caught: matches!(link, Link::Caught { .. }),
                hold_s: match link {
                    Link::Clean(..) => 0.0,
                    Link::Caught { hold, .. } => *hold,
                },
            });
        }
        let n = pitch.len();
        let random = &mut self.random;
        let wander = smooth_noise(n, 8.0, random);
        let swing = random.between(0.0, std::f64::consts::TAU);
        let first = pitch.first().copied().unwrap_or(0.0);
        let hz: Vec<f64> = pitch
            .iter()
            .zip(&wander)
            .enumerate()
            .map(|(i, (p, w))| {
                let t = i as f64 / RATE;
                let vibrato = (std::f64::consts::TAU * how.vibrato_hz * t + swing).sin();
                let cents = 1.5 * w
                    + how.vibrato_cents * vibrato * (t / 0.3).clamp(0.0, 1.0)
                    + how.scoop_cents * (-t / 0.04).exp();
                (p + cents / 1200.0).exp2()
            })
            .collect();
        let mut amp: Vec<f64> = smooth_noise(n, 6.0, random)
            .iter()
            .map(|x| 0.6 * 10_f64.powf(0.5 * x / 20.0))
            .collect();
        for (a, b) in changes {
            let pad = at(0.012);
            let (a, b) = (a.saturating_sub(pad), (b + pad).min(n));
            let depth = random.between(2.0, 8.0);
            let span = (b - a).max(2) as f64 - 1.0;
            for (i, x) in amp[a..b].iter_mut().enumerate() {
                let hann = 0.5 - 0.5 * (std::f64::consts::TAU * i as f64 / span).cos();
                *x *= 10_f64.powf(-depth * hann / 20.0);
            }
        }
        let attack = random.between(0.015, 0.045) * if first < 6.8 { 1.5 } else { 1.0 };
        for (x, r) in amp.iter_mut().zip(rise(at(attack))) {
            *x *= r;
        }
        for (x, r) in amp.iter_mut().rev().zip(rise(at(how.release_s))) {
            *x *= r;
        }
        let sound = additive(&hz, &amp, how.timbre, random);
        self.take.sound.extend(sound);
        self.take.hz.extend(hz);
        self.take.changing.extend(changing);
        self.take.offsets.push(self.take.sound.len() as f64 / RATE);
    }

    /// Says what was to be played: nominal frequencies, partials of a tube fundamental.
    pub fn expect(&mut self, notes: &[(f64, f64, u8)], tube_hz: f64, slurred: bool) {
        let index = self.take.expected.lines.len() + 1;
        let mut start_s = 0.0;
        let notes = notes.iter().enumerate().map(|(i, (hz, seconds, partial))| {
            let note = ExpectedNote {
                id: format!("l{index}n{}", i + 1),
                midi: (69.0 + 12.0 * (hz / 440.0).log2()).round() as i32,
                hz: *hz,
                start_s,
                seconds: *seconds,
                slurred: slurred && i > 0,
                partial: *partial,
                tube: (1..=16)
                    .map(|p| TubePartial {
                        partial: p,
                        hz: tube_hz * f64::from(p),
                    })
                    .collect(),
            };
            start_s += seconds;
            note
        });
        let line = ExpectedLine {
            id: format!("l{index}"),
            label: String::new(),
            exercise: "simulated".to_owned(),
            root_hz: tube_hz,
            notes: notes.collect(),
            rest_after_s: 0.3,
        };
        self.take.expected.lines.push(line);
    }

    pub fn done(self) -> (Take, Random) {
        (self.take, self.random)
    }
}

/// The whole set from one seed: the same take in different rooms.
pub struct Set {
    pub takes: Vec<Take>,
}

pub fn set(seed: u64) -> Set {
    let mut takes = sustained(seed);
    takes.extend(slurred(seed));
    takes.extend(straight(seed));
    takes.push(tongued(seed));
    Set { takes }
}

pub fn sustained(seed: u64) -> Vec<Take> {
    let notes = [
        (58.27, TUBA),
        (58.27, TROMBONE),
        (73.42, TUBA),
        (92.50, TROMBONE),
        (116.54, TROMBONE),
        (174.61, TROMBONE),
        (233.08, TROMBONE),
        (233.08, TRUMPET),
        (349.23, TRUMPET),
        (466.16, TRUMPET),
        (587.33, TRUMPET),
        (698.46, TRUMPET),
        (932.33, TRUMPET),
        (1174.7, TRUMPET),
        (1396.9, TRUMPET),
    ];
    let mut b = Builder::new(seed);
    b.silence(0.4);
    for (hz, timbre) in notes {
        let how = Manner {
            timbre,
            vibrato_cents: 20.0,
            vibrato_hz: 5.0,
            scoop_cents: b.random.between(-35.0, 10.0),
            release_s: 0.07,
        };
        let detuned = hz * (b.random.between(-40.0, 40.0) / 1200.0).exp2();
        b.phrase(&[(detuned, 1.4, None)], how);
        b.expect(&[(hz, 1.4, 0)], hz, false);
        b.silence(0.3);
    }
    let (mut take, mut random) = b.done();
    for line in &mut take.expected.lines {
        line.notes.iter_mut().for_each(|n| n.tube.clear());
    }
    let on = take.sounding();
    let dry = &take.sound;
    let mut noisy =
        |name, sound: &[f64], snr| take.with(name, add_noise(sound, &on, snr, &mut random));
    let mut out = vec![
        noisy("sus_40", dry, 40.0),
        noisy("sus_20", dry, 20.0),
        noisy("sus_hp250", &high_pass(dry, 250.0), 40.0),
    ];
    let ten = noisy("sus_10", dry, 10.0);
    out.push(ten);
    let wet = echo(dry, 1.2, 3.0, &mut random);
    out.push(take.with("sus_rev", add_noise(&wet, &on, 45.0, &mut random)));
    out
}

const ARPEGGIOS: [(f64, Timbre, [&[u8]; 3]); 3] = [
    (58.27, TUBA, [&[1, 2, 3, 4, 3, 2, 4, 2, 1]; 3]),
    (
        58.27,
        TROMBONE,
        [
            &[2, 3, 4, 5, 6, 5, 4, 6, 4, 3, 5, 3, 2],
            &[4, 5, 6, 8, 6, 8, 10, 8, 6, 4, 6, 8, 4],
            &[4, 5, 6, 8, 6, 8, 10, 8, 6, 4, 6, 8, 4],
        ],
    ),
    (
        116.54,
        TRUMPET,
        [
            &[2, 3, 4, 5, 6, 5, 4, 6, 4, 3, 5, 3, 2],
            &[4, 5, 6, 8, 6, 8, 10, 8, 6, 5, 4, 6, 4],
            &[8, 9, 10, 12, 10, 8, 6, 8, 10, 12, 9, 8],
        ],
    ),
];

/// The hall: reverberation time, seconds, and direct over reverberant power, dB.
pub const HALL: (f64, f64) = (1.2, 3.0);

/// The slurred take of a seed, dry, in a room and in the hall.
pub fn slurred(seed: u64) -> Vec<Take> {
    slurred_in(seed, HALL)
}

/// The same in another hall.
pub fn slurred_in(seed: u64, hall: (f64, f64)) -> Vec<Take> {
    let names = ["slur_40", "slur_room", "slur_rev"];
    slurs(seed, Glide::Eased, names, hall)
}

/// The same with straight glides.
pub fn straight(seed: u64) -> Vec<Take> {
    let names = ["straight_40", "straight_room", "straight_rev"];
    slurs(seed, Glide::Straight, names, HALL)
}

fn slurs(
    seed: u64,
    glide: Glide,
    names: [&'static str; 3],
    (rt60_s, direct_db): (f64, f64),
) -> Vec<Take> {
    let mut b = Builder::new(seed ^ 0x5157);
    b.glide = glide;
    b.silence(0.4);
    for (n, (tube, timbre, sequences)) in ARPEGGIOS.iter().enumerate() {
        for sequence in sequences {
            let semitones = if n > 0 { b.random.whole(-2, 3) } else { 0 };
            let nominal = tube * (f64::from(semitones) / 12.0).exp2();
            let real = nominal * (b.random.between(-40.0, 40.0) / 1200.0).exp2();
            let pitches: Vec<f64> = sequence
                .iter()
                .map(|p| real * f64::from(*p) * (b.random.between(-15.0, 15.0) / 1200.0).exp2())
                .collect();
            let mut notes = Vec::new();
            for (i, (p, hz)) in sequence.iter().zip(&pitches).enumerate() {
                let link = sequence.get(i + 1).map(|q| {
                    let (low, high) = (*p.min(q), *p.max(q));
                    let between: Vec<u8> = (low + 1..high).collect();
                    let middle = between.get(between.len() / 2).map(|m| real * f64::from(*m));
                    match middle {
                        Some(hz) if b.random.unit() < 0.5 => Link::Caught {
                            glide: b.random.between(0.008, 0.015),
                            hz,
                            hold: b.random.between(0.02, 0.04),
                        },
                        _ => Link::Clean(b.random.between(0.015, 0.06), middle),
                    }
                });
                notes.push((*hz, b.random.between(0.18, 0.4), link));
            }
            let how = Manner {
                timbre: *timbre,
                vibrato_cents: 4.0,
                vibrato_hz: 5.5,
                scoop_cents: 0.0,
                release_s: 0.07,
            };
            b.phrase(&notes, how);
            let asked: Vec<_> = sequence
                .iter()
                .map(|p| (nominal * f64::from(*p), 0.3, *p))
                .collect();
            b.expect(&asked, nominal, true);
            b.silence(0.3);
        }
    }
    let (take, mut random) = b.done();
    let on = take.sounding();
    let clean = take.with(names[0], add_noise(&take.sound, &on, 40.0, &mut random));
    let hall = echo(&take.sound, rt60_s, direct_db, &mut random);
    let hall = take.with(names[2], add_noise(&hall, &on, 45.0, &mut random));
    let room = echo(&clean.sound, 0.5, 6.0, &mut random);
    let mut room = add_noise(&room, &on, 25.0, &mut random);
    let (sum, count) = (clean.sound.iter().zip(&on).filter(|(_, on)| **on))
        .fold((0.0, 0.0), |(s, n), (x, _)| (s + x * x, n + 1.0));
    add_clicks(&mut room, f64::sqrt(sum / count));
    vec![clean, take.with(names[1], room), hall]
}

pub fn tongued(seed: u64) -> Take {
    let mut b = Builder::new(seed ^ 0x7086);
    b.silence(0.4);
    let lines: [(f64, Timbre, &[u8]); 3] = [
        (58.27, TUBA, &[1, 1, 2, 2, 3, 3, 4, 4, 2, 1]),
        (58.27, TROMBONE, &[4, 4, 4, 5, 6, 6, 8, 8, 6, 4]),
        (116.54, TRUMPET, &[4, 4, 5, 6, 6, 8, 8, 10, 8, 4]),
    ];
    for (tube, timbre, sequence) in lines {
        for p in sequence {
            let hz = tube * f64::from(*p) * (b.random.between(-20.0, 20.0) / 1200.0).exp2();
            let seconds = b.random.between(0.15, 0.4);
            let how = Manner {
                timbre,
                vibrato_cents: 0.0,
                vibrato_hz: 5.0,
                scoop_cents: b.random.between(-20.0, 5.0),
                release_s: 0.03,
            };
            b.phrase(&[(hz, seconds, None)], how);
            let gap = b.random.between(0.015, 0.06);
            b.silence(gap);
        }
        b.silence(0.3);
        let asked: Vec<_> = sequence
            .iter()
            .map(|p| (tube * f64::from(*p), 0.3, *p))
            .collect();
        b.expect(&asked, tube, false);
    }
    let (take, mut random) = b.done();
    let on = take.sounding();
    take.with("tong_40", add_noise(&take.sound, &on, 40.0, &mut random))
}
