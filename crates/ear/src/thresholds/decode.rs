//! Notes against a score: tuning, what a moment says, costs of the steps from state to state.

/// A player may be this far from what is asked and still play it, in grid steps of 33 cents
/// (80 cents: nearer to it than to the semitone beside it, with the take's own tuning taken out).
pub const ASKED_REACH_STEPS: f64 = 2.4;
/// A moment further than this from every expected pitch says nothing of a take's tuning, in grid steps.
pub const DETUNE_MOST_STEPS: f64 = 2.5;
/// A tuning costs so much a moment for each grid step from the usual one: half a semitone flat and sharp,
/// which in a chromatic line fit as well, are told apart by it, and where the lines of a take differ none is
/// read into them. Of 0.002 to 0.35 the last one hears the hall's onsets best (tuning seeds 11 to 14), and a
/// recorded amateur's chromatic line, 40 cents flat, with all of them.
pub const TUNING_USUAL: f64 = 0.35;
/// A take's tuning is taken from what sounds within half an octave, in grid steps, ...
pub const REGISTER_STEPS: f64 = 18.0;
/// ... where that lasts this long, seconds. A recorded amateur is 45 cents flat at the bottom and in tune at
/// the top: with one tuning for the whole take a low note that is 75 cents flat passed for the one below.
pub const REGISTER_LEAST_S: f64 = 2.0;
/// In echo, a moment's pitch lies this near to where the whole note's harmonics stand highest, in grid steps.
pub const OWN_REACH_STEPS: f64 = 1.2;
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
/// Where the level rises by more than this: in the simulated hall (seeds 11 to 13) lines begin with 11.7 dB (median; 5.2
/// at least), and no slurred note rises by more than 3.6 later on, but held ones of 1,150 Hz and more with vibrato
/// by up to 7.8, ...
pub const STRUCK_RISE_DB: f64 = 4.0;
/// ... a note that goes on costs so much for each dB more, nats (this and the next four have no sweep), ...
pub const STRUCK_NATS_DB: f32 = 3.0;
/// ... but no more than this, ...
pub const STRUCK_MOST: f32 = 20.0;
/// ... unless it has only sounded for fewer looks than this, so that its own beginning is what rises;
pub const STRUCK_LOOKS: u8 = 8;
/// and so many dB above that the level says no more that what sounded before goes on.
pub const AFRESH_DB: f32 = 4.0;
/// Such a rise is a note's if it lies within so many looks of where that begins.
pub const STRUCK_NEAR: usize = 5;
/// A pitch on the way of a slur lies at least this far inside the two notes, in grid steps.
pub const WAY_EDGE_STEPS: f64 = 2.5;
/// A way longer than this is a note by itself, seconds.
pub const WAY_LONGEST_S: f64 = 0.15;
/// Something else shorter than this before a note is how the note began, seconds.
pub const FALSE_START_S: f64 = 0.08;
/// A note begins flat by a semitone for no more than this share of it ...
pub const FLAT_START_SHARE: f64 = 0.4;
/// ... and this long, seconds: a recorded amateur's for 0.22 s, a quarter of the note.
pub const FLAT_START_S: f64 = 0.3;
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
/// going on from a note that has sounded for fewer looks than this
pub const NOTE_LOOKS: u8 = 3;
/// (without it a short note tongued again at the same pitch may pass for one that lasts through both),
pub const NOTE_TOO_SHORT: f32 = 6.0;
/// leaving one note out,
pub const LEFT_OUT: f32 = 9.0;
/// leaving the line,
pub const TO_HUB: f32 = 4.0;
/// doing so where the level says that something still sounds,
pub const TO_HUB_LOUD: f32 = 10.0;
/// and straight out of a note: a line is begun again after a gap, hardly ever inside a run,
pub const TO_HUB_SOUNDING: f32 = 30.0;
/// leaving it before its last note (2 let a recorded trombone's F, which begins a tone flat, pass for a
/// line begun again from its E; seeds 11 to 14 tell no difference between the two),
pub const UNFINISHED: f32 = 6.0;
/// starting a line,
pub const LINE_START: f32 = 2.0;
/// taking up a line out of turn: just enough to choose among lines that ask for the same,
pub const OUT_OF_TURN: f32 = 0.1;
/// starting inside a line: more than starting and leaving it unfinished, or a first note played alone passes
/// for the last one of a scale; at 12 recorded players who go back some notes seem to begin from the top.
pub const RESTART_INSIDE: f32 = 10.0;
