//! What the model is shown of every moment.

use crate::decode::model::Model;
use crate::decode::swing::Swing;
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
    /// What it costs a note to go on here, where the level rises as only an attack makes it.
    pub struck: f32,
    /// 0 where nothing, 1 where all speaks for an attack hereabouts that what sounded before has no part in.
    pub afresh: f32,
}

/// Makes observations.
#[derive(Clone, Copy, Debug, Default)]
pub struct Observer;

impl Observer {
    /// The observation of a frame of salience with the salience of silence and what the level does.
    pub fn look(
        model: &Model,
        frame: &SalienceFrame,
        silence: f32,
        swing: Swing,
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
            ((swing.dip_db - t::ATTACK_DIP_DB / 2.0) as f32).clamp(-t::ATTACK_MOST, t::ATTACK_MOST);
        let over = ((swing.rise_db - t::STRUCK_RISE_DB) as f32).max(0.0);
        out.struck = if swing.top {
            (t::STRUCK_NATS_DB * over).min(t::STRUCK_MOST)
        } else {
            0.0
        };
        out.afresh = (over / t::AFRESH_DB).min(1.0);
    }
}
