//! The path that the fine track follows: near the decoded note where one sounds.

use crate::analysis::Analysis;
use crate::decode::{Model, Segment, State};
use crate::pitch::path::peak;
use crate::signal::Transform;
use crate::thresholds as t;

/// Window that a note's own pitch is looked for in, seconds.
const WINDOW_S: f64 = 0.093;
/// Harmonics that are looked at, and the highest frequency, hertz.
const HARMONICS: usize = 8;
const TOP_HZ: f64 = 5_000.0;

/// The path of a take that was decoded into `segments`.
pub(super) fn guided(analysis: &Analysis, model: &Model, segments: &[Segment]) -> Vec<Option<f64>> {
    let mut path = vec![None; analysis.salience.len()];
    let size = ((WINDOW_S * analysis.sound.rate) as usize).next_power_of_two();
    let mut transform = Transform::new(size);
    for segment in segments {
        let frames = analysis
            .salience
            .get(segment.from..segment.to)
            .unwrap_or(&[]);
        let slots = path.get_mut(segment.from..segment.to).unwrap_or(&mut []);
        let around = match segment.state {
            State::Note(i) => model
                .notes
                .get(i)
                .and_then(|n| model.pitches.get(n.pitch))
                .copied(),
            State::Other(_) | State::Way(_) | State::Hub => None,
            State::Stop(_) => continue,
        };
        let own = around.filter(|_| analysis.echo_held);
        let own = own.map(|place| sharp(analysis, &mut transform, segment, place));
        for (frame, slot) in frames.iter().zip(slots) {
            let index = match (own, around) {
                (Some(place), _) => best_near(&frame.of_pitch, place, t::OWN_REACH_STEPS),
                (_, Some(place)) => best_near(&frame.of_pitch, place, t::ASKED_REACH_STEPS),
                _ if frame.best().1 > t::PATH_SILENCE => Some(frame.best().0),
                _ => None,
            };
            *slot = index.map(|i| analysis.grid.hz(peak(&frame.of_pitch, i)));
        }
    }
    path
}

/// Where in reach of `place` the harmonics of a whole note stand highest, on the grid. Salience has lobes so
/// wide that between two pitches which sound together (one of them a room's) it is greatest half-way.
fn sharp(analysis: &Analysis, transform: &mut Transform, segment: &Segment, place: f64) -> f64 {
    let rate = analysis.sound.rate;
    let step = rate / transform.size() as f64;
    let (from_s, to_s) = (
        segment.from as f64 * t::COARSE_STEP_S,
        segment.to as f64 * t::COARSE_STEP_S,
    );
    let hop = WINDOW_S / 2.0;
    let looks = (((to_s - from_s) / hop) as usize).saturating_sub(1).max(1);
    let reach = (t::ASKED_REACH_STEPS * 4.0) as i32;
    let places: Vec<f64> = (-reach..=reach)
        .map(|k| place + f64::from(k) / 4.0)
        .collect();
    let mut heights = vec![0.0_f32; places.len()];
    for look in 0..looks {
        let at_s = f64::midpoint(from_s, to_s) + (look as f64 - (looks as f64 - 1.0) / 2.0) * hop;
        transform.look(&analysis.sound.data, analysis.centre(at_s));
        for (height, place) in heights.iter_mut().zip(&places) {
            let hz = analysis.grid.hz(*place);
            let count = ((TOP_HZ.min(0.4 * rate) / hz) as usize).clamp(1, HARMONICS);
            let amplitude = |n: usize| {
                transform
                    .hann((n as f64 * hz / step).round() as usize)
                    .norm()
            };
            *height += (1..=count).map(amplitude).sum::<f32>();
        }
    }
    let best = heights
        .iter()
        .zip(&places)
        .max_by(|a, b| a.0.total_cmp(b.0));
    best.map_or(place, |(_, place)| *place)
}

/// The grid step of the greatest value within `reach` of a place.
pub(crate) fn best_near(values: &[f32], place: f64, reach: f64) -> Option<usize> {
    let from = (place - reach).ceil().max(0.0) as usize;
    let to = ((place + reach).floor().max(0.0) as usize + 1).min(values.len());
    (from..to).max_by(|a, b| {
        let value = |i: &usize| values.get(*i).copied().unwrap_or(-1.0);
        value(a).total_cmp(&value(b))
    })
}
