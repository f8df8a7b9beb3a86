//! Scores of a hearing against the truth: the definitions that every figure is given in.

use ear::Heard;

use super::takes::{RATE, Take};

pub fn cents(a: f64, b: f64) -> f64 {
    1200.0 * (a / b).log2()
}

/// Share of steady frames within 5 and 50 cents, median error, octave errors, frames called sound
/// in silence.
#[derive(Clone, Copy, Debug, Default)]
pub struct Frames {
    pub within_5: f64,
    pub within_50: f64,
    pub median: f64,
    pub octaves: f64,
    pub heard: f64,
    pub false_sound: f64,
}

/// Truth at a time: frequency (0 silent, none within 20 ms of an edge), inside a change or 15 ms
/// beside one.
fn truth(take: &Take, at_s: f64) -> (Option<f64>, bool) {
    let place = |s: f64| (s * RATE).round() as isize;
    let get = |i: isize| {
        usize::try_from(i)
            .ok()
            .and_then(|i| take.hz.get(i))
            .copied()
    };
    let here = place(at_s);
    let Some(f) = get(here) else {
        return (None, false);
    };
    let edge = [-0.02, -0.015, -0.01, -0.005, 0.005, 0.01, 0.015, 0.02]
        .iter()
        .any(|d| get(place(at_s + d)).is_some_and(|g| (g > 0.0) != (f > 0.0)));
    let from = place(at_s - 0.015).max(0) as usize;
    let to = (place(at_s + 0.015).max(0) as usize).min(take.changing.len());
    let changing = take.changing[from.min(to)..to]
        .iter()
        .step_by(40)
        .any(|c| *c);
    (if edge { None } else { Some(f) }, changing)
}

pub fn frames(takes: &[(&Take, &Heard)], pick: impl Fn(f64) -> bool) -> Frames {
    let (mut errors, mut silent, mut false_sound, mut heard) = (Vec::new(), 0.0, 0.0, 0.0);
    for (take, result) in takes {
        for (i, frame) in result.track.frames.iter().enumerate() {
            let (Some(f), changing) = truth(take, i as f64 * result.track.step_s) else {
                continue;
            };
            if f == 0.0 {
                silent += 1.0;
                false_sound += f64::from(u8::from(frame.sounds()));
            } else if !changing && pick(f) {
                heard += f64::from(u8::from(frame.sounds()));
                errors.push(if frame.sounds() {
                    cents(frame.hz, f)
                } else {
                    f64::INFINITY
                });
            }
        }
    }
    let n = errors.len().max(1) as f64;
    let share = |test: &dyn Fn(&f64) -> bool| errors.iter().filter(|e| test(e)).count() as f64 / n;
    let octave = |e: &f64| {
        [1200.0, 1902.0, 2400.0, 2786.0]
            .iter()
            .any(|o| (e.abs() - o).abs() < 60.0)
    };
    let mut sizes: Vec<f64> = errors
        .iter()
        .filter(|e| e.is_finite())
        .map(|e| e.abs())
        .collect();
    sizes.sort_by(f64::total_cmp);
    Frames {
        within_5: 100.0 * share(&|e| e.abs() <= 5.0),
        within_50: 100.0 * share(&|e| e.abs() <= 50.0),
        median: sizes.get(sizes.len() / 2).copied().unwrap_or(f64::NAN),
        octaves: 100.0 * share(&octave),
        heard: 100.0 * heard / n,
        false_sound: 100.0 * false_sound / f64::max(silent, 1.0),
    }
}

/// Note errors: the heard note's pitch against the median of the truth over the steady part (40 ms
/// off each side, 100 ms or more left); infinite when no heard note covers it.
pub fn notes(take: &Take, heard: &Heard) -> Vec<f64> {
    let mut errors = Vec::new();
    let steady: Vec<bool> = take
        .hz
        .iter()
        .zip(&take.changing)
        .map(|(f, c)| *f > 0.0 && !*c)
        .collect();
    let mut i = 0;
    while i < steady.len() {
        if !steady[i] {
            i += 1;
            continue;
        }
        let length = steady[i..]
            .iter()
            .position(|s| !s)
            .unwrap_or(steady.len() - i);
        let (a, b) = (i as f64 / RATE + 0.04, (i + length) as f64 / RATE - 0.04);
        i += length;
        if b - a < 0.1 {
            continue;
        }
        let mut truth: Vec<f64> = take.hz[(a * RATE) as usize..(b * RATE) as usize]
            .iter()
            .step_by(44)
            .copied()
            .collect();
        truth.sort_by(f64::total_cmp);
        let middle = truth[truth.len() / 2];
        let overlap = |n: &&ear::HeardNote| n.offset_s.min(b) - n.onset_s.max(a);
        let best = heard
            .notes
            .iter()
            .max_by(|x, y| overlap(x).total_cmp(&overlap(y)));
        errors.push(match best {
            Some(n) if overlap(&n) > 0.0 => cents(n.hz, middle).abs(),
            _ => f64::INFINITY,
        });
    }
    errors
}

/// F measure of two sorted lists of times within a tolerance, after a constant lag.
pub fn onsets(truth: &[f64], found: &[f64], tolerance: f64, lag: f64) -> f64 {
    let (mut i, mut j, mut hits) = (0, 0, 0.0);
    while let (Some(a), Some(b)) = (truth.get(i), found.get(j)) {
        let gap = b + lag - a;
        if gap.abs() <= tolerance {
            hits += 1.0;
            i += 1;
            j += 1;
        } else if gap < 0.0 {
            j += 1;
        } else {
            i += 1;
        }
    }
    2.0 * hits / (truth.len() + found.len()).max(1) as f64
}

/// How slurs were heard.
#[derive(Clone, Copy, Debug, Default)]
pub struct Slurs {
    /// Caught partials found, and found where none was caught, percent.
    pub found: f64,
    pub invented: f64,
    /// Median absolute and signed error of the slur time of clean slurs, ms.
    pub error_ms: f64,
    pub bias_ms: f64,
    /// Clean slurs whose time was measured, percent.
    pub measured: f64,
}

/// The slur time of the truth: from the last moment within 30 cents of the old note to the first
/// within 30 cents of the new one.
pub fn true_slur_ms(take: &Take, slur: &super::takes::SlurTruth) -> f64 {
    let from = ((slur.from_s - 0.08) * RATE) as usize;
    let to = (((slur.to_s + 0.08) * RATE) as usize).min(take.hz.len());
    let near = |i: usize, f: f64| take.hz[i] > 0.0 && cents(take.hz[i], f).abs() < 30.0;
    let left = (from..to)
        .rev()
        .find(|i| near(*i, slur.old_hz))
        .unwrap_or(from);
    let entered = (left..to).find(|i| near(*i, slur.new_hz)).unwrap_or(to);
    1000.0 * (entered - left) as f64 / RATE
}

pub fn slurs(takes: &[(&Take, &Heard)]) -> Slurs {
    let (mut caught, mut found, mut clean, mut invented) = (0.0, 0.0, 0.0, 0.0);
    let (mut errors, mut timed) = (Vec::new(), 0.0);
    for (take, heard) in takes {
        for slur in &take.slurs {
            let middle = f64::midpoint(slur.from_s, slur.to_s);
            let near = |s: &&ear::HeardSlur| {
                (f64::midpoint(s.left_s, s.entered_s) - middle).abs() < 0.08
                    && cents(heard.notes[s.to].hz, slur.new_hz).abs() < 60.0
            };
            let hit = heard.slurs.iter().find(near);
            let held = hit.is_some_and(|s| {
                s.caught
                    .iter()
                    .any(|c| slur.between_hz.is_some_and(|f| cents(c.hz, f).abs() < 60.0))
            });
            if slur.caught {
                caught += 1.0;
                found += f64::from(u8::from(held));
            } else {
                if slur.between_hz.is_some() {
                    clean += 1.0;
                    let any = hit.is_some_and(|s| !s.caught.is_empty());
                    invented += f64::from(u8::from(any));
                }
                timed += 1.0;
                if let Some(ms) = hit.and_then(|s| s.slur_ms.value()) {
                    errors.push(ms - true_slur_ms(take, slur));
                }
            }
        }
    }
    let middle = |mut v: Vec<f64>| {
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(f64::NAN)
    };
    Slurs {
        found: 100.0 * found / f64::max(caught, 1.0),
        invented: 100.0 * invented / f64::max(clean, 1.0),
        measured: 100.0 * errors.len() as f64 / f64::max(timed, 1.0),
        bias_ms: middle(errors.clone()),
        error_ms: middle(errors.iter().map(|e| e.abs()).collect()),
    }
}

/// Evidence for a catch in every slur over a partial, and whether one was caught.
pub fn gains(take: &Take, heard: &Heard) -> Vec<(bool, f64, (f64, f64))> {
    take.slurs
        .iter()
        .filter(|s| s.between_hz.is_some())
        .filter_map(|slur| {
            let middle = f64::midpoint(slur.from_s, slur.to_s);
            let near =
                |s: &&ear::HeardSlur| (f64::midpoint(s.left_s, s.entered_s) - middle).abs() < 0.08;
            let hit = heard.slurs.iter().find(near)?;
            Some((slur.caught, hit.evidence?, (slur.from_s, slur.to_s)))
        })
        .collect()
}
