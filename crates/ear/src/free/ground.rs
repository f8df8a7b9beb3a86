//! Pitches that a deeper one beside them explains as well.
//!
//! A low note whose even harmonics carry the sound for a moment looks like its octave; one whose
//! loudest two harmonics beat within a short window looks like a note between them. Whether the
//! deeper note of before or after goes on is plain in a window that holds whole periods of it: its
//! harmonics then hold what the higher pitch leaves over.

use pulp::NullaryFnOnce;

use crate::analysis::Analysis;
use crate::signal::{Transform, wide};
use crate::thresholds as t;

/// Frames of one pitch, neighbours without a jump.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Run {
    from: usize,
    to: usize,
    hz: f64,
}

impl Run {
    fn seconds(&self) -> f64 {
        (self.to - self.from) as f64 * t::COARSE_STEP_S
    }
}

/// Fills short gaps of the path within one pitch where the sound goes on: a note that loses level
/// looks like its own echo for a moment.
pub(super) fn bridge(analysis: &Analysis, path: &mut [Option<f64>]) {
    let longest = (t::BRIDGE_S / t::COARSE_STEP_S) as usize;
    let mut i = 1;
    while i < path.len() {
        let rest = path.get(i..).unwrap_or(&[]);
        let gap = rest.iter().position(Option::is_some).unwrap_or(rest.len());
        let before = path.get(i - 1).copied().flatten();
        let after = path.get(i + gap).copied().flatten();
        if let (Some(a), Some(b), 1..) = (before, after, gap)
            && gap <= longest
            && (1200.0 * (a / b).log2()).abs() < t::NOTE_BAND_CENTS
        {
            let level = |frame: usize| analysis.level_db(frame as f64 * t::COARSE_STEP_S, a);
            let lowest = (i..i + gap).map(level).fold(f64::MAX, f64::min);
            if level(i - 1).min(level(i + gap)) - lowest < t::ATTACK_DIP_DB
                && let Some(frames) = path.get_mut(i..i + gap)
            {
                frames.fill(Some((a * b).sqrt()));
            }
        }
        i += gap + 1;
    }
}

/// Puts a deeper pitch beside it wherever that explains the sound and the path's own does not.
pub(super) fn ground(analysis: &Analysis, path: &mut [Option<f64>]) {
    let mut looker = Looker::new(analysis);
    let mut all = runs(path);
    for k in 0..all.len() {
        let Some(run) = all.get(k).copied() else {
            continue;
        };
        let deeper = |n: &Run| n.hz < t::GROUND_BELOW * run.hz && n.seconds() >= t::GROUND_LEAST_S;
        // The nearest long runs of the same sound on both sides.
        let before = (0..k)
            .rev()
            .map_while(|i| Some((all.get(i)?, all.get(i + 1)?)))
            .take_while(|(a, b)| a.to == b.from)
            .find(|(a, _)| deeper(a))
            .map(|(a, _)| *a);
        let after = (k + 1..all.len())
            .map_while(|i| Some((all.get(i - 1)?, all.get(i)?)))
            .take_while(|(a, b)| a.to == b.from)
            .find(|(_, b)| deeper(b))
            .map(|(_, b)| *b);
        let around = before
            .zip(after)
            .is_some_and(|(a, b)| (1200.0 * (a.hz / b.hz).log2()).abs() < t::NOTE_BAND_CENTS);
        let found = [before, after]
            .into_iter()
            .flatten()
            .find(|n| looker.goes_on(n.hz, &run, around));
        if let (Some(found), Some(run)) = (found, all.get_mut(k)) {
            run.hz = found.hz;
            if let Some(frames) = path.get_mut(run.from..run.to) {
                frames.fill(Some(found.hz));
            }
        }
    }
}

/// The runs of a path, cut at silences, at jumps and where a glide leaves the run's own pitch.
fn runs(path: &[Option<f64>]) -> Vec<Run> {
    let cents = |a: f64, b: f64| (1200.0 * (a / b).log2()).abs();
    let mut out: Vec<Run> = Vec::new();
    for (i, hz) in path.iter().enumerate() {
        let Some(now) = *hz else { continue };
        match out.last_mut() {
            Some(run) if run.to == i && cents(now, run.hz) < t::GROUND_JUMP_CENTS => {
                run.to = i + 1;
                // The mean pitch so far, as a logarithm.
                let share = 1.0 / (run.to - run.from) as f64;
                run.hz *= (now / run.hz).powf(share);
            }
            _ => out.push(Run {
                from: i,
                to: i + 1,
                hz: now,
            }),
        }
    }
    for run in &mut out {
        let of_run = path.get(run.from..run.to).unwrap_or(&[]);
        let mut all: Vec<f64> = of_run.iter().flatten().copied().collect();
        run.hz = super::median(&mut all).unwrap_or(run.hz);
    }
    out
}

/// Looks at the sound through windows of several lengths.
struct Looker<'a> {
    analysis: &'a Analysis,
    transforms: Vec<Transform>,
}

impl<'a> Looker<'a> {
    fn new(analysis: &'a Analysis) -> Self {
        let rate = analysis.sound.rate;
        let smallest = ((0.04 * rate).log2().round().clamp(6.0, 14.0)) as u32;
        Self {
            analysis,
            transforms: (smallest..smallest + 4)
                .map(|power| Transform::new(1 << power))
                .collect(),
        }
    }

    /// True when a deeper pitch sounds all along a run. One too short to tell does when it lies
    /// within the deeper pitch (`around`) or is a multiple of it.
    fn goes_on(&mut self, deep_hz: f64, run: &Run, around: bool) -> bool {
        let needed_s = t::GROUND_PERIODS / deep_hz;
        if run.seconds() < needed_s {
            if around {
                return true;
            }
            let order = run.hz / deep_hz;
            let cents = 1200.0 * (order / order.round()).log2();
            return cents.abs() < t::NOTE_BAND_CENTS / 2.0;
        }
        let rate = self.analysis.sound.rate;
        let longest_s = run.seconds().min(2.0 * needed_s);
        let fits = |t: &Transform| t.size() as f64 / rate <= longest_s;
        let Some(index) = self.transforms.iter().rposition(fits) else {
            return false;
        };
        let Some(transform) = self.transforms.get_mut(index) else {
            return false;
        };
        // Looks at the later part: before, the deeper note's echo may still sound.
        let (from_s, to_s) = (
            run.from as f64 * t::COARSE_STEP_S,
            run.to as f64 * t::COARSE_STEP_S,
        );
        let half_s = transform.size() as f64 / rate / 2.0;
        let first = (f64::midpoint(from_s, to_s)).max(from_s + half_s);
        let last = (to_s - half_s).max(first);
        let looks = [first, f64::midpoint(first, last), last];
        let sound = &self.analysis.sound.data;
        let counts = looks.iter().filter(|at_s| {
            transform.look(sound, self.analysis.centre(**at_s));
            let bin_hz = rate / transform.size() as f64;
            let top_hz = (16.5 * deep_hz).min(0.4 * rate);
            let own = left_over(transform, bin_hz, run.hz, (0.5 * deep_hz, top_hz));
            let deep = left_over(transform, bin_hz, deep_hz, (0.5 * deep_hz, top_hz));
            own > t::GROUND_LEFT && deep < t::GROUND_SHARE * own
        });
        counts.count() >= 2
    }
}

/// Share of the power between two frequencies that lies outside the harmonics of a pitch near
/// `hz`, over the share expected of power that lies anywhere.
fn left_over(transform: &Transform, bin_hz: f64, hz: f64, band: (f64, f64)) -> f64 {
    let to = ((band.1 / bin_hz) as usize).min(transform.bins());
    let mut powers = vec![0.0; to];
    transform.powers_of(&mut powers);
    let from = ((band.0 / bin_hz) as usize).min(to);
    let powers = powers.get(from..).unwrap_or(&[]);
    (-3..=3)
        .map(|k| {
            wide(Outside {
                powers,
                from,
                spacing: hz * (f64::from(k) * 6.0 / 1200.0).exp2() / bin_hz,
            })
        })
        .fold(f64::MAX, f64::min)
}

/// Share of the power outside the harmonics of a pitch of `spacing` bins.
struct Outside<'a> {
    powers: &'a [f32],
    /// Bin of the first power.
    from: usize,
    spacing: f64,
}

impl NullaryFnOnce for Outside<'_> {
    type Output = f64;

    #[inline(always)]
    fn call(self) -> f64 {
        let (mut outside, mut all, mut free) = (0.0, 0.0, 0.0);
        for (k, power) in self.powers.iter().enumerate() {
            let (power, place) = (f64::from(*power), (self.from + k) as f64);
            let order = (place / self.spacing).round().max(1.0);
            all += power;
            if (place - order * self.spacing).abs() > 2.0 {
                outside += power;
                free += 1.0;
            }
        }
        if free > 0.0 && all > 0.0 {
            (outside / all) / (free / self.powers.len() as f64)
        } else {
            1.0
        }
    }
}
