//! What the model is shown of every moment.

use crate::analysis::Analysis;
use crate::decode::model::Model;
use crate::pitch::SalienceFrame;
use crate::signal::most;
use crate::thresholds as t;

/// One moment, in nats.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observation {
    /// For each pitch of the model.
    pub pitch: Vec<f32>,
    /// For each way between two slurred notes.
    pub way: Vec<f32>,
    /// For any pitch at all.
    pub any: f32,
    /// For silence.
    pub silence: f32,
    /// How much speaks for a new attack here.
    pub attack: f32,
}

/// Makes observations.
#[derive(Clone, Copy, Debug, Default)]
pub struct Observer;

impl Observer {
    /// The observation of a frame of salience with the salience of silence and the depth of a dip (dB).
    pub fn look(
        model: &Model,
        frame: &SalienceFrame,
        silence: f32,
        dip_db: f64,
        out: &mut Observation,
    ) {
        out.pitch.clear();
        let near = |place: &f64| frame.near(*place, t::ASKED_REACH_STEPS, t::ASKED_STEP_COST);
        out.pitch
            .extend(model.pitches.iter().map(|p| t::LOOK_WEIGHT * near(p)));
        out.way.clear();
        let between = |(low, high): &(usize, usize)| {
            let stretch = frame.of_pitch.get(*low..*high).unwrap_or(&[]);
            stretch.iter().copied().fold(-1.0, f32::max)
        };
        out.way
            .extend(model.ways.iter().map(|w| t::LOOK_WEIGHT * between(w)));
        out.any = t::LOOK_WEIGHT * most(&frame.of_pitch);
        out.silence = t::LOOK_WEIGHT * silence;
        out.attack =
            ((dip_db - t::ATTACK_DIP_DB / 2.0) as f32).clamp(-t::ATTACK_MOST, t::ATTACK_MOST);
    }
}

/// How far the level dips at every coarse step below what comes within 80 ms before and after, dB.
#[must_use]
pub fn dips(analysis: &Analysis, path: &[Option<f64>]) -> Vec<f64> {
    let fine = |i: usize| -> f64 {
        let hz = path.get(i / 2).copied().flatten().unwrap_or(0.0);
        analysis.level_db(i as f64 * t::COARSE_STEP_S / 2.0, hz)
    };
    let levels: Vec<f64> = (0..analysis.salience.len() * 2).map(fine).collect();
    let reach = (0.08 / t::COARSE_STEP_S * 2.0) as usize;
    let top = |a: usize, b: usize| {
        let stretch = levels
            .get(a.min(levels.len())..b.min(levels.len()))
            .unwrap_or(&[]);
        stretch.iter().copied().fold(-150.0, f64::max)
    };
    (0..analysis.salience.len())
        .map(|frame| {
            let i = frame * 2;
            let here = levels
                .get(i.saturating_sub(1)..(i + 2).min(levels.len()))
                .unwrap_or(&[]);
            let low = here.iter().copied().fold(0.0, f64::min);
            let before = top(i.saturating_sub(reach), i);
            let after = top(i + 1, i + 1 + reach);
            (before.min(after) - low).max(0.0)
        })
        .collect()
}
