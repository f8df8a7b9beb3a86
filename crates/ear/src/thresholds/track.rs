//! The coarse path, the level and the fine track.

/// Seconds between frames of the coarse salience.
pub const COARSE_STEP_S: f64 = 0.010;
/// Seconds between frames of the fine track.
pub const FINE_STEP_S: f64 = 0.005;
/// Frames that the echo estimate looks back: 50 ms, where early reflections end and the late,
/// exponential decay begins (Lebart et al. 2001 use the same).
pub const ECHO_FRAMES: usize = 5;
/// Share of the power of 50 ms ago that is taken off as echo: what is left after 50 ms in a room
/// of RT 1.2 s is 0.56. A sustained note only loses level by it.
pub const ECHO_SHARE: f32 = 0.6;
/// A take whose echo lasts longer than this is looked at once more with each bin's echo held: from
/// frame to frame it dies no faster than the room lets it, whatever it beats, seconds. On tuning seeds
/// 11 to 14 the hall's onsets gain 3 points of F by it; held in a dry room it swallows tongued notes.
pub const ECHO_HELD_FROM_S: f64 = 0.7;
/// The reverberation time it is held with, seconds: of 0.45, 0.6 and 1.2 s the middle one gains in the
/// hall without losing in the room.
pub const ECHO_HELD_S: f64 = 0.6;
/// Share of a bin's power that always stays.
pub const ECHO_FLOOR: f32 = 0.02;
/// Weight of salience in the path (per frame, nats per unit).
pub const PATH_WEIGHT: f32 = 12.0;
/// The same for the score's model. Of 5 to 20, 8 and less hear most notes in echo on tuning seeds 11
/// to 14 (looks overlap, so that each says less than it seems to), but at 8 a take moved by 147
/// cents passes for what was asked; 9 lies between.
pub const LOOK_WEIGHT: f32 = 9.0;
/// Cost of a step of 33 cents from frame to frame, nats.
pub const PATH_STEP: f32 = 0.35;
/// Cost of a jump to any other pitch, nats.
pub const PATH_JUMP: f32 = 4.0;
/// Cost of starting or stopping to sound, nats.
pub const PATH_SWITCH: f32 = 2.0;
/// Salience of "nothing sounds" where the level says so ...
pub const PATH_SILENCE: f32 = 0.30;
/// ... and where it says the opposite.
pub const PATH_SILENCE_LOUD: f32 = 0.05;
/// The level says so below this much over the noise, or this far under the loudest moment of the
/// last quarter second; the opposite 12 dB further on.
pub const SILENCE_UNDER_PEAK_DB: f64 = 20.0;
/// Shortest window for a level: shorter ones ripple with noise, longer ones hide 15 ms gaps.
pub const LEVEL_WINDOW_S: f64 = 0.008;
/// The noise is taken to lie at least this far under the loud parts.
pub const NOISE_UNDER_LOUD_DB: f64 = 15.0;
/// A frame sounds when its level is this far above the noise ...
pub const SOUND_OVER_NOISE_DB: f64 = 3.0;
/// ... and no further than this below the loudest moment within 60 ms.
pub const SOUND_UNDER_PEAK_DB: f64 = 26.0;
/// Jerk of a player's pitch: variance a step, in cents over steps of the track cubed. Of 0.0001 to 0.3,
/// 0.003 to 0.01 lie nearest to the truth for windows of 23, 46 and 93 ms, frames uncertain by 0.05 to 1
/// cent, vibrato of 20 cents at 5 Hz, scoops and wander (medians at 0.3 c a frame: 0.11, 0.15,
/// 0.25 where single frames are off by 0.24, 0.43, 1.65). On tuning seeds 11 to 14 the median error
/// falls from 0.10 to 0.05 c dry, 0.29 to 0.10 at 20 dB, 0.75 to 0.33 at 10 dB.
pub const SMOOTH_JERK: f64 = 0.01;
/// No moment of the track is taken to be surer than this, cents.
pub const SMOOTH_LEAST_CENTS: f64 = 0.1;
/// A pitch this far from where the moments before lead is a jump, cents, ...
pub const SMOOTH_JUMP_CENTS: f64 = 6.0;
/// ... and this many standard deviations.
pub const SMOOTH_JUMP_SIGMAS: f64 = 4.0;
/// What a window that lies half beyond a jump takes from there, cents.
pub const SMOOTH_BEYOND_CENTS: f64 = 3.0;
/// A note in echo lies where, within so many cents, its moments lie thickest (30, 40 and 60
/// tell the same of the hall of seeds 11, 13 and 18 to 21), ...
pub const GATHERED_CENTS: f64 = 30.0;
/// ... a moment counting for its sureness, but none for more than one of so many cents; ...
pub const GATHERED_SURE_CENTS: f64 = 0.5;
/// ... moments further from there than this stray (neither this nor the sureness has a sweep).
pub const STRAY_CENTS: f64 = 50.0;
