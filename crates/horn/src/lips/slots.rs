//! Slots: over which lip settings a partial is the one that speaks, and how far it can be bent.

use super::Lips;
use super::slot::{Slot, Speaking};
use super::stability::{AirColumn, thresholds};

/// Steps of lip frequency, per octave.
const STEPS_PER_OCTAVE: f64 = 60.0;
/// The lip is searched from this share of a partial's peak upwards: below it, the next lower
/// partial has long taken over.
const LOWEST_SHARE: f64 = 0.45;
/// A player blows at up to this times the lowest threshold to put a note at its usual place, and a
/// note, once played, holds as long as its threshold stays under this times that of the note as
/// played. Our choice: no one plays at the threshold itself, where the sound only just begins.
const AMPLE_PRESSURE: f64 = 2.0;

/// The slots of the first `count` resonances; those that cannot speak at all are left out.
///
/// ```
/// use horn::Setup;
///
/// let trumpet = Setup::generic("trumpet-bflat")?;
/// // What `Setup::slots` calls for one length.
/// let column = trumpet.column(horn::LengthId(0))?;
/// let slots = horn::lips::slots(&column.at_lips, &trumpet.lips, 8);
/// let fourth = slots.iter().find(|slot| slot.resonance == 4).unwrap();
/// assert!(fourth.easiest.pressure > 1000.0 && fourth.width_cents() > 50.0);
/// assert!(fourth.played.frequency > fourth.peak);
/// # Ok::<(), horn::AcousticError>(())
/// ```
#[must_use]
pub fn slots(column: &AirColumn, lips: &Lips, count: usize) -> Vec<Slot> {
    let count = count.min(column.peaks.len()).min(usize::from(u8::MAX));
    let (Some(lowest), Some(highest)) = (
        column.peaks.first(),
        column.peaks.get(count.wrapping_sub(1)),
    ) else {
        return Vec::new();
    };
    let start = lowest.frequency * LOWEST_SHARE;
    let steps = ((highest.frequency / start).log2() * STEPS_PER_OCTAVE).ceil() as usize + 1;
    let lip_at = |i: usize| start * (i as f64 / STEPS_PER_OCTAVE).exp2();
    // One row per resonance (one beyond the last, so that the last slot has an upper edge).
    let rows = (count + 1).min(column.peaks.len());
    let table: Vec<Vec<Option<Speaking>>> = (0..rows)
        .map(|index| {
            let peak = column.peaks.get(index).map_or(0.0, |p| p.frequency);
            (0..=steps)
                .map(|i| {
                    let lip = lip_at(i);
                    if lip < peak * LOWEST_SHARE || lip > peak * 1.3 {
                        return None;
                    }
                    let t = thresholds(column, lips, lip, index)?;
                    Some(Speaking {
                        lip,
                        frequency: t.frequency,
                        pressure: t.pressure,
                    })
                })
                .collect()
        })
        .collect();
    (0..count)
        .filter_map(|index| slot(column, lips, &table, index))
        .collect()
}

fn slot(
    column: &AirColumn,
    lips: &Lips,
    table: &[Vec<Option<Speaking>>],
    index: usize,
) -> Option<Slot> {
    let row = table.get(index)?;
    let peak = column.peaks.get(index)?.frequency;
    let (at, easiest) = row
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.map(|s| (i, s)))
        .min_by(|a, b| a.1.pressure.total_cmp(&b.1.pressure))?;
    let rival = |i: usize| {
        table
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != index)
            .filter_map(|(_, row)| row.get(i).copied().flatten())
            .map(|s| s.pressure)
            .fold(f64::INFINITY, f64::min)
    };
    let first_to_speak = |i: usize, s: &Speaking| s.pressure <= rival(i);
    // The easiest setting may itself belong to a rival; then look for the nearest own one.
    let centre = (0..row.len())
        .filter(|&i| {
            row.get(i)
                .copied()
                .flatten()
                .is_some_and(|s| first_to_speak(i, &s))
        })
        .min_by_key(|&i| i.abs_diff(at));
    let own = centre.map(|centre| {
        let excess = |i: usize, s: &Speaking| (s.pressure / rival(i)).ln();
        [
            edge(row, centre, -1, &first_to_speak, &excess),
            edge(row, centre, 1, &first_to_speak, &excess),
        ]
    });
    let target = peak * (lips.usual_cents / 1200.0).exp2();
    let played = own.map_or(easiest, |slot| played(row, &easiest, slot, target));
    let most = AMPLE_PRESSURE * played.pressure;
    let holds = |_: usize, s: &Speaking| s.pressure <= most;
    let excess = |_: usize, s: &Speaking| (s.pressure / most).ln();
    let bend = [
        edge(row, at, -1, &holds, &excess),
        edge(row, at, 1, &holds, &excess),
    ];
    Some(Slot {
        resonance: u8::try_from(index + 1).ok()?,
        peak,
        easiest,
        played,
        lip_range: own.map(|o| o.map(|s| s.lip)),
        pitch_range: own.map(|o| o.map(|s| s.frequency)),
        bend_range: bend.map(|s| s.frequency),
    })
}

/// The setting that [`Slot::played`] asks for: inside the slot, within ample pressure, nearest to the
/// target frequency.
fn played(
    row: &[Option<Speaking>],
    easiest: &Speaking,
    [low, high]: [Speaking; 2],
    target: f64,
) -> Speaking {
    let most = AMPLE_PRESSURE * easiest.pressure;
    let inside = row.iter().copied().flatten();
    let inside = inside.filter(|s| s.lip > low.lip && s.lip < high.lip);
    let settings: Vec<Speaking> = [low].into_iter().chain(inside).chain([high]).collect();
    // Between neighbours, where one of them is beyond the pressure or the target.
    let between = settings.windows(2).flat_map(|w| {
        let &[a, b] = w else { return Vec::new() };
        let crossings = [
            (target / a.frequency).ln() / (b.frequency / a.frequency).ln(),
            (most / a.pressure).ln() / (b.pressure / a.pressure).ln(),
        ];
        let inside = crossings.into_iter().filter(|c| (0.0..=1.0).contains(c));
        inside.map(|share| a.towards(&b, share)).collect()
    });
    let miss = |s: &Speaking| (s.frequency / target).ln().abs();
    between
        .chain(settings.iter().copied())
        .filter(|s| s.pressure <= most * (1.0 + 1e-9))
        .min_by(|a, b| miss(a).total_cmp(&miss(b)))
        .unwrap_or(*easiest)
}

/// Walk from `centre` while `inside` holds; the last setting, moved on towards the first outside
/// by where `excess` (a logarithm of pressure) passes zero.
fn edge(
    row: &[Option<Speaking>],
    centre: usize,
    direction: isize,
    inside: &dyn Fn(usize, &Speaking) -> bool,
    excess: &dyn Fn(usize, &Speaking) -> f64,
) -> Speaking {
    let mut i = centre;
    let fallback = Speaking {
        lip: f64::NAN,
        frequency: f64::NAN,
        pressure: f64::NAN,
    };
    let mut last = row.get(i).copied().flatten().unwrap_or(fallback);
    while let Some(next) = i.checked_add_signed(direction) {
        let Some(s) = row.get(next).copied().flatten() else {
            break;
        };
        if !inside(next, &s) {
            let (a, b) = (excess(i, &last), excess(next, &s));
            let share = if a.is_finite() && b.is_finite() && b > a {
                (-a / (b - a)).clamp(0.0, 1.0)
            } else {
                0.5
            };
            return last.towards(&s, share);
        }
        (i, last) = (next, s);
    }
    last
}

/// The lip setting that sounds a given note on a given resonance (0-based), with the lowest
/// threshold if there are several: a pedal note on the first resonance, far below it, for instance.
#[must_use]
pub fn setting_for(
    column: &AirColumn,
    lips: &Lips,
    index: usize,
    frequency: f64,
) -> Option<Speaking> {
    let steps = (STEPS_PER_OCTAVE * 1.5) as usize;
    let row: Vec<Option<Speaking>> = (0..=steps)
        .map(|i| {
            let lip = frequency * (-(i as f64) / STEPS_PER_OCTAVE).exp2();
            let t = thresholds(column, lips, lip, index)?;
            Some(Speaking {
                lip,
                frequency: t.frequency,
                pressure: t.pressure,
            })
        })
        .collect();
    sounding(&row, frequency)
}

/// The setting that sounds at `target` Hz, between two neighbours in the row; the one of lowest
/// pressure if there are several.
fn sounding(row: &[Option<Speaking>], target: f64) -> Option<Speaking> {
    row.windows(2)
        .filter_map(|w| {
            let (a, b) = ((*w.first()?)?, (*w.get(1)?)?);
            let share = (target / a.frequency).ln() / (b.frequency / a.frequency).ln();
            (0.0..=1.0).contains(&share).then(|| a.towards(&b, share))
        })
        .min_by(|a, b| a.pressure.total_cmp(&b.pressure))
}
