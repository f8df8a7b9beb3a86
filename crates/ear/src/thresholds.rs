//! Every threshold of the hearing core in one table, with the experiment that chose it where one
//! was made.
//!
//! "Tuning seeds" are seeds 1 and 2 of the simulated takes in `tests/support`. Values without an
//! experiment beside them are first choices by reasoning and still have to be tried; figures are
//! to be reported on seeds 101 and up, which nothing may be chosen on.

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
/// Share of a bin's power that always stays.
pub const ECHO_FLOOR: f32 = 0.02;
/// Weight of salience in the path (per frame, nats per unit).
pub const PATH_WEIGHT: f32 = 12.0;
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
/// Pitch must leave a note's centre by this much to be another note, cents.
pub const NOTE_BAND_CENTS: f64 = 70.0;
/// Seconds after which a look at the sound is counted as independent of the one before: the
/// windows of pitches from 200 Hz up are this long.
pub const INDEPENDENT_S: f64 = 0.04;
/// Shortest note that is kept, seconds: a fast trill note lasts 60 ms.
pub const SHORTEST_NOTE_S: f64 = 0.045;
/// A dip of the level this deep against both sides is a new attack.
pub const ATTACK_DIP_DB: f64 = 6.0;
/// ... unless what follows it lies this far under the loudest of the same pitch.
pub const ATTACK_UNDER_DB: f64 = 20.0;
/// The onset is where the level has come up to this far under the note's own level.
pub const ONSET_UNDER_DB: f64 = 18.0;
/// A player may be this far from what is asked and still play it, in grid steps of 33 cents
/// (80 cents: nearer to it than to the semitone beside it, with the take's own tuning taken out).
pub const ASKED_REACH_STEPS: f64 = 2.4;
/// Salience lost per squared step away from what is asked.
pub const ASKED_STEP_COST: f32 = 0.008;
/// Silence is likely below this level over the noise.
pub const SILENCE_OVER_NOISE_DB: f64 = 5.0;
/// Most that a dip of the level says for or against a new attack, nats.
pub const ATTACK_MOST: f32 = 5.0;
/// Salience that a pitch outside the score must be ahead by to be taken for a wrong note ...
pub const WRONG_MARGIN: f32 = 0.12;
/// ... or for something that belongs to no line.
pub const EXTRA_MARGIN: f32 = 0.15;
/// A pitch on the way of a slur lies at least this far inside the two notes, in grid steps.
pub const WAY_EDGE_STEPS: f64 = 2.5;
/// A way longer than this is a note by itself, seconds.
pub const WAY_LONGEST_S: f64 = 0.15;
/// Something else shorter than this before a note is how the note began, seconds.
pub const FALSE_START_S: f64 = 0.08;
/// A note that sounds shorter than this after a long way never sounded, seconds.
pub const GLIMPSE_S: f64 = 0.05;
/// Costs of the model's steps, nats: going on to the next note,
pub const GO_ON: f32 = 0.5;
/// doing so without a stop where one is asked for,
pub const UNTONGUED: f32 = 1.5;
/// stopping where a slur is asked for,
pub const UNSLURRED: f32 = 1.5;
/// stopping,
pub const STOPS: f32 = 1.0;
/// putting a wrong note right,
pub const CORRECTS: f32 = 2.0;
/// a wrong note,
pub const WRONG_NOTE: f32 = 5.0;
/// beginning the way into a note,
pub const WAY_BEGINS: f32 = 1.5;
/// each frame of it: six frames, a long glide or four periods of a tuba's low attack, cost about
/// as much as a wrong note,
pub const WAY_LASTS: f32 = 1.0;
/// leaving one note out,
pub const LEFT_OUT: f32 = 9.0;
/// leaving the line,
pub const TO_HUB: f32 = 4.0;
/// doing so where the level says that something still sounds,
pub const TO_HUB_LOUD: f32 = 10.0;
/// and straight out of a note: a line is begun again after a gap, hardly ever inside a run,
pub const TO_HUB_SOUNDING: f32 = 30.0;
/// starting a line,
pub const LINE_START: f32 = 2.0;
/// starting inside a line.
pub const RESTART_INSIDE: f32 = 8.0;
/// Blocks that a slur is cut into, seconds: a caught partial of 15 ms covers three.
pub const SLUR_BLOCK_S: f64 = 0.005;
/// Sound looked at on each side of where the change may be, seconds.
pub const SLUR_BESIDE_S: f64 = 0.07;
/// The change lies this near to where the decoder puts it, seconds.
pub const SLUR_REACH_S: f64 = 0.09;
/// Shortest note on each side of a change, seconds.
pub const SLUR_NOTE_LEAST_S: f64 = 0.04;
/// The old note is left this long before the middle of a change (half a usual glide), seconds.
pub const SLUR_LEAVES_S: f64 = 0.015;
/// Range of a harmonic's amplitude over what the notes beside the change lead to expect.
pub const SLUR_WEAKEST: f64 = 0.3;
/// Upper end of that range.
pub const SLUR_STRONGEST: f64 = 1.8;
/// Power expected within the change over that of the notes beside it (a dip of 4 dB).
pub const SLUR_DIP: f64 = 0.4;
/// Share of the expected power that no curve explains (the player's own waver, -15 dB).
pub const SLUR_MODEL_ERROR: f64 = 0.03;
/// Half width of a window's response, hertz.
pub const SLUR_WINDOW_HZ: f64 = 30.0;
/// A block lasts at least this many periods of the lower note, so that a window of four holds
/// more than two and keeps its harmonics apart.
pub const SLUR_BLOCK_PERIODS: f64 = 0.55;
/// What is taken to be left of an old note when no slur of the take tells.
pub const SLUR_ECHO: f64 = 0.1;
/// Bounds of the echo over direct power that the old note is taken to leave.
pub const SLUR_ECHO_LEAST: f64 = 0.02;
/// Upper bound.
pub const SLUR_ECHO_MOST: f64 = 0.6;
/// Reverberation time of that echo, seconds.
pub const SLUR_RT60_S: f64 = 0.8;
/// Bands of the slur time, cents: from leaving the old note's to entering the new one's.
pub const SLUR_BAND_CENTS: f64 = 30.0;
/// A caught partial may lie this far from the tube's own, cents.
pub const CAUGHT_BAND_CENTS: f64 = 30.0;
/// Shortest hold that counts as caught, seconds.
pub const CAUGHT_LEAST_S: f64 = 0.012;
/// By how much a curve with a hold must be more likely than a plain glide, nats. Negative: the
/// tuning seeds 1 and 2 gave a clean skip more than -5 once in 47 in the room and never in the
/// dry or in the hall, and the shortest holds begin to fall below 0 in echo.
pub const CAUGHT_GAIN: f64 = -5.0;
/// A stop shorter than this ...
pub const JOINED_STOP_S: f64 = 0.06;
/// ... in which the level falls less than this below both notes is no stop but a slur's dip.
pub const JOINED_DIP_DB: f64 = 14.0;
/// A lone first note of the last note's pitch so far below it, dB, is that note's echo: nobody
/// plays a phrase's first note at a thirtieth of the sound pressure of the note before (common
/// practice, no source). Echoes of synthesized takes lay 33 dB and more below their notes.
pub const ECHO_BELOW_DB: f64 = 30.0;
/// Sound that a live moment waits for, seconds: half the window of pitches from 86 Hz up.
pub const LIVE_AHEAD_S: f64 = 0.047;
