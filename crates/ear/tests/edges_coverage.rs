//! How notes begin and end, from the sound on: stated intervals against what was played.
//!
//! Attack, scoop, release and sag of simulated notes are heard by the whole chain (sound, track,
//! notes, measure) and held against the same definitions applied to the pitch and level that the
//! sound was made from. Nothing was chosen on the seeds here but how long a release may linger; `EDGE_SEEDS="11 12"` tries
//! others.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod support;

use std::sync::OnceLock;

use ear::measure::{Take, View, attack, release};
use ear::{Expected, Heard, Measure, Settings, hear};
use support::edges::{Played, median, play};
use support::random::Random;
use support::rooms::echo;
use support::takes::at;

/// A measure and the truth, for every note.
#[derive(Default)]
struct Trials {
    attacks: Vec<(Measure, f64)>,
    scoops: Vec<(Measure, f64)>,
    releases: Vec<(Measure, f64)>,
    sags: Vec<(Measure, f64)>,
}

/// How a measure's intervals hold.
struct Held {
    /// Share of the measures made whose 95 % interval holds the truth.
    share: f64,
    /// Share of the notes in which it was made.
    made: f64,
    /// Median half of the intervals.
    half: f64,
}

/// Notes of each seed.
const NOTES: usize = 60;

fn seeds() -> Vec<u64> {
    let asked = std::env::var("EDGE_SEEDS").unwrap_or_default();
    let asked: Vec<u64> = asked.split(' ').filter_map(|s| s.parse().ok()).collect();
    if asked.is_empty() {
        vec![401, 402, 403, 404]
    } else {
        asked
    }
}

/// All notes of all seeds, made and heard once: dry, ...
fn trials() -> &'static Trials {
    static TRIALS: OnceLock<Trials> = OnceLock::new();
    TRIALS.get_or_init(|| hear_all(|_, sound| sound.to_vec()))
}

/// ... and in a room of 0.5 s whose echo lies 6 dB below the player.
fn trials_in_room() -> &'static Trials {
    static TRIALS: OnceLock<Trials> = OnceLock::new();
    TRIALS.get_or_init(|| {
        hear_all(|random, sound| {
            let dry: Vec<f64> = sound.iter().map(|x| f64::from(*x)).collect();
            let wet = echo(&dry, 0.5, 6.0, random);
            wet.into_iter().map(|x| x as f32).collect()
        })
    })
}

fn hear_all(room: impl Fn(&mut Random, &[f32]) -> Vec<f32>) -> Trials {
    let mut all = Trials::default();
    for seed in seeds() {
        let mut random = Random::new(seed);
        for _ in 0..NOTES {
            let mut played = play(&mut random);
            played.samples.data = room(&mut random, &played.samples.data).into();
            let heard = hear(&played.samples, None, &Settings::default());
            all.add(&played, &heard);
        }
    }
    let asked = NOTES * seeds().len();
    assert!(all.attacks.len() as f64 >= 0.97 * asked as f64);
    all
}

impl Trials {
    /// Measures one note, if it is heard as one.
    fn add(&mut self, played: &Played, heard: &Heard) {
        let [note] = heard.notes.as_slice() else {
            return;
        };
        let expected = Expected::default();
        let take = Take::new(&played.samples, &expected, heard, &[]);
        let view: View<'_> = take.view(0).unwrap();
        let steady_hz = played.steady_hz(note.steady_s);
        let onset = played.reaches(25.0, false);
        // The last moment that lies 25 cents or more away, within the first 0.4 s.
        let away = (0..800)
            .map(|i| onset + f64::from(i) * 0.0005)
            .filter(|s| {
                let hz = played.hz.get(at(*s)).copied().unwrap_or(steady_hz);
                (1200.0 * (hz / steady_hz).log2()).abs() >= 25.0
            })
            .fold(onset, f64::max);
        let first = median(played.cents(onset, onset + 0.03, steady_hz));
        let fallen = played.reaches(6.0, true);
        let last = median(played.cents(fallen - 0.06, fallen, steady_hz));
        let fall = played.reaches(20.0, true) - played.reaches(3.0, true);
        self.attacks
            .push((attack::attack(&view), 1000.0 * (away - onset)));
        self.scoops.push((attack::scoop(&view), first));
        self.releases.push((release::release(&view), 1000.0 * fall));
        self.sags.push((release::sag(&view), last));
    }
}

fn held(what: &str, trials: &[(Measure, f64)]) -> Held {
    let known: Vec<(f64, f64, f64)> = trials
        .iter()
        .filter_map(|(m, truth)| match m {
            Measure::Known { value, uncertainty } => Some((*value, *uncertainty, *truth)),
            Measure::Unknown { .. } => None,
        })
        .collect();
    let holds = |(value, u, truth): &&(f64, f64, f64)| (value - truth).abs() <= 1.96 * u;
    let share = known.iter().filter(holds).count() as f64 / known.len().max(1) as f64;
    let half = median(known.iter().map(|(_, u, _)| 1.96 * u).collect());
    println!(
        "{what}: {share:.3} of {}, error {:+.2} (size {:.2}), half interval {half:.2}",
        known.len(),
        median(known.iter().map(|(v, _, t)| v - t).collect()),
        median(known.iter().map(|(v, _, t)| (v - t).abs()).collect()),
    );
    Held {
        share,
        made: known.len() as f64 / trials.len().max(1) as f64,
        half,
    }
}

#[test]
fn the_interval_of_an_attack_holds_the_truth() {
    let held = held("attack", &trials().attacks);
    assert!(held.made >= 0.8, "{} made", held.made);
    assert!(held.share >= 0.9, "{} hold the truth", held.share);
    assert!(held.half <= 12.0, "half {} ms", held.half);
}

#[test]
fn the_interval_of_a_release_holds_the_truth() {
    let held = held("release", &trials().releases);
    assert!(held.made >= 0.95, "{} made", held.made);
    assert!(held.share >= 0.9, "{} hold the truth", held.share);
    assert!(held.half <= 8.0, "half {} ms", held.half);
}

#[test]
fn the_interval_of_a_scoop_holds_the_truth() {
    let held = held("scoop", &trials().scoops);
    assert!(held.made >= 0.95, "{} made", held.made);
    assert!(held.share >= 0.9, "{} hold the truth", held.share);
    assert!(held.half <= 6.0, "half {} cents", held.half);
}

#[test]
fn the_interval_of_a_sag_holds_the_truth() {
    let held = held("sag", &trials().sags);
    assert!(held.made >= 0.95, "{} made", held.made);
    assert!(held.share >= 0.9, "{} hold the truth", held.share);
    assert!(held.half <= 3.0, "half {} cents", held.half);
}

/// A lone note does not tell how long the room sounds on: its release is then not told, and its sag less surely.
#[test]
fn the_interval_of_an_edge_in_a_room() {
    let all = trials_in_room();
    let release = held("release in a room", &all.releases);
    assert!(release.made <= 0.05, "{} made", release.made);
    let sag = held("sag in a room", &all.sags);
    assert!(sag.share >= 0.85, "{} hold the truth", sag.share);
    // Of the start the room makes less, but its intervals do not know of it.
    let scoop = held("scoop in a room", &all.scoops);
    assert!(scoop.share >= 0.8, "{} hold the truth", scoop.share);
    let attack = held("attack in a room", &all.attacks);
    assert!(attack.share >= 0.85, "{} hold the truth", attack.share);
}
