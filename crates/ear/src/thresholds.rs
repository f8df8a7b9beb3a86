//! Every threshold of the hearing core in one table, with the experiment that chose it where one
//! was made.
//!
//! "Tuning seeds" are seeds 11 to 16 of the simulated takes in `tests/support`. Values without an
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
/// Pitch must leave a note's centre by this much to be another note, cents.
pub const NOTE_BAND_CENTS: f64 = 70.0;
/// Seconds after which a look at the sound is counted as independent of the one before: the
/// windows of pitches from 200 Hz up are this long.
pub const INDEPENDENT_S: f64 = 0.04;
/// Shortest note that is kept, seconds: a fast trill note lasts 60 ms.
pub const SHORTEST_NOTE_S: f64 = 0.045;
/// ... and in periods: in fewer a tuba's lowest notes have hardly begun to speak.
pub const SHORTEST_NOTE_PERIODS: f64 = 4.0;
/// A gap of the path within one pitch no longer than this is none, where the level does not dip as
/// before an attack: a note that loses level looks like its own echo for a moment, seconds.
pub const BRIDGE_S: f64 = 0.12;
/// A dip of the level this deep against both sides is a new attack.
pub const ATTACK_DIP_DB: f64 = 6.0;
/// ... unless what follows it lies this far under the loudest of the same pitch: in the dying ends
/// of 47 recorded notes the room's own dips come back to no more than 14 dB under it.
pub const ATTACK_UNDER_DB: f64 = 14.0;
/// ... and only where the level comes up by this much ...
pub const ATTACK_RISE_DB: f64 = 8.0;
/// ... within this: of 55 dips of 6 dB and more in recorded single notes none but one does (they
/// are swells, beats and vibrato: 2 to 5 dB), of three attacks in recorded phrases two do ...
pub const ATTACK_RISE_S: f64 = 0.015;
/// ... or where the dip is this many times as deep as the level swells by itself (the third
/// attack: 3.9 times; single notes: no more than 2.6) ...
pub const ATTACK_OVER_SWELL: f64 = 3.0;
/// ... within this on each side.
pub const ATTACK_SWELL_S: f64 = 0.7;
/// A piece whose pitch wavers by more than this ...
pub const UNSETTLED_CENTS: f64 = 45.0;
/// ... and that is no longer than this is the way into or out of the note it is joined to.
pub const UNSETTLED_LONGEST_S: f64 = 0.15;
/// What goes on without a stop this near to the pitch of the note before is that note.
pub const SAME_NOTE_CENTS: f64 = 50.0;
/// The steady part of a note ends with the last moment this near to its loudest: what comes after
/// is its release or the room.
pub const STEADY_UNDER_DB: f64 = 12.0;
/// What a sound begins with for fewer periods than this ...
pub const ATTACK_PERIODS: f64 = 10.0;
/// ... this near to the pitch that it goes on with is its attack, not a note: a recorded trombone's
/// low F begins 160 cents flat for 9 periods; a trumpet's grace notes last 25 and more.
pub const ATTACK_CENTS: f64 = 200.0;
/// A later sound of a note's pitch so far below it is its echo: those of recorded phrases lie 28 dB
/// and more below.
pub const FREE_ECHO_BELOW_DB: f64 = 25.0;
/// What lies so far below the loudest note of a take is not played in it: the range from the
/// softest to the loudest a brass player reaches is about 40 dB (common practice, no source).
pub const FAINT_BELOW_DB: f64 = 45.0;
/// What goes on without a stop this far below the loudest of the note before ...
pub const DYING_UNDER_DB: f64 = 12.0;
/// ... and this near to its pitch is that note's dying end.
pub const DYING_CENTS: f64 = 150.0;
/// A pitch is held against a neighbour on the path that lies below this share of it ...
pub const GROUND_BELOW: f64 = 0.8;
/// ... and lasts this long, seconds,
pub const GROUND_LEAST_S: f64 = 0.1;
/// through windows of this many of the neighbour's periods or up to twice as many: a Hann line
/// is four bins wide, so that harmonics stand apart.
pub const GROUND_PERIODS: f64 = 6.0;
/// The neighbour's pitch goes on where the higher pitch leaves at least this share of the power ...
pub const GROUND_LEFT: f64 = 0.05;
/// ... and the deeper one less than this share of that.
pub const GROUND_SHARE: f64 = 0.3;
/// The path is in another pitch where it leaves the mean so far by this, cents.
pub const GROUND_JUMP_CENTS: f64 = 150.0;
/// The onset is where the level has come up to this far under the note's loudest moment. Of 15 to
/// 40 dB, 25 lies nearest to the onsets listed with 111 recorded notes: 1 is more than 30 ms off.
pub const ONSET_UNDER_DB: f64 = 25.0;
/// ... but no less than this over the noise, whose 8 ms levels swing by some 3 dB.
pub const ONSET_OVER_NOISE_DB: f64 = 7.0;
/// Where the echo of what was before never falls below that, a note begins where the level rises by
/// this much within 30 ms, ...
pub const ONSET_ECHO_RISE_DB: f64 = 4.0;
/// ... up to this long after the decoder hears it (it may take the echo of the same pitch for it), seconds,
pub const ONSET_ECHO_REACH_S: f64 = 0.2;
/// when it stands so far above the foot of that rise.
pub const ONSET_ECHO_FOOT_DB: f64 = 1.5;
/// What comes up before an onset by no more than this over its threshold is no note of its own.
pub const FALSE_START_DB: f64 = 8.0;
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
/// starting inside a line: more than starting and leaving it unfinished, or a first note played alone passes
/// for the last one of a scale; at 12 recorded players who go back some notes seem to begin from the top.
pub const RESTART_INSIDE: f32 = 10.0;
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
/// Range of a harmonic's amplitude over what the notes beside the change lead to expect. This range, the
/// dip, the error of the model and what rings on were each tried at half and double on tuning seeds 11 to
/// 16: 1.8 instead of 1.4 at the upper end loses a point of the hall's onsets, 0.06 instead of 0.022 for the
/// error a third of the catches, all or nothing of what rings on one to three points of onsets.
pub const SLUR_WEAKEST: f64 = 0.4;
/// Upper end of that range.
pub const SLUR_STRONGEST: f64 = 1.4;
/// Power expected within the change over that of the notes beside it (a dip of 5 dB).
pub const SLUR_DIP: f64 = 0.3;
/// Share of the expected power that no curve explains (the player's own waver, -17 dB).
pub const SLUR_MODEL_ERROR: f64 = 0.022;
/// Share of what is heard of the new note's harmonics while only the old one sounds that still rings in
/// the new one: what an echo of 0.8 s keeps after 85 ms.
pub const SLUR_RINGING: f64 = 0.25;
/// Half width of a window's response, hertz.
pub const SLUR_WINDOW_HZ: f64 = 30.0;
/// A harmonic is a note's own when the other note has none within so many of these.
pub const SLUR_OWN_WINDOWS: f64 = 1.5;
/// A block lasts at least this many periods of the lower note, so that a window of four holds
/// more than two and keeps its harmonics apart.
pub const SLUR_BLOCK_PERIODS: f64 = 0.55;
/// What is taken to be left of an old note when no slur of the take tells.
pub const SLUR_ECHO: f64 = 0.1;
/// The echo of the old note hides how the change begins, so that it seems to lie later by this much
/// for each unit of echo over direct power, seconds: onsets on tuning seeds 11 to 14 lay 2 ms late
/// in the room (0.2) and 8 in the hall (0.6).
pub const SLUR_LATE_S: f64 = 0.013;
/// Bounds of the echo over direct power that the old note is taken to leave.
pub const SLUR_ECHO_LEAST: f64 = 0.02;
/// Upper bound.
pub const SLUR_ECHO_MOST: f64 = 0.6;
/// Reverberation time of that echo, seconds.
pub const SLUR_RT60_S: f64 = 0.8;
/// A usual lip slur glides for this long, seconds (common practice, no source: 15 to 60 ms), ...
pub const SLUR_USUAL_S: f64 = 0.032;
/// ... within this factor, as a natural logarithm: it decides nothing where the sound tells.
pub const SLUR_USUAL_SPREAD: f64 = 0.5;
/// A new note is there when its own harmonics have this share of the power they settle at, ...
pub const SLUR_ENTERED_SHARE: f64 = 0.2;
/// ... and this much before the end of the change, seconds: over three rooms together, for which
/// the example `slur_edges` finds (seeds 11 to 16, 570 slurs in each) that 4.4 ms should be added to
/// it dry, 0.6 taken off in the room, 3.2 in the hall; half lie within 4.4, 5.7 and 7.9 ms of it. On
/// seeds 401 to 404: 4.0, -1.3, -3.1; 4.0, 5.4, 6.4 ms.
pub const SLUR_ENTERED_S: f64 = 0.006;
/// How far the end of a change lies from it, seconds.
pub const SLUR_ENTERED_SPREAD_S: f64 = 0.006;
/// The old note's own phasors move most this long after the change begins, seconds. The same
/// example finds 2.9 ms less dry, 8.1 more in the room, 8.9 in the hall; half lie within 3.6, 9.4 and
/// 12.8 ms of it (seeds 401 to 404: -2.5, 7.6, 7.1; 3.8, 8.4, 13.8 ms).
pub const SLUR_LEFT_S: f64 = 0.004;
/// How far the beginning of a change lies from it, seconds, ...
pub const SLUR_LEFT_SPREAD_S: f64 = 0.005;
/// ... and this much more for each unit of echo over direct power.
pub const SLUR_LEFT_ECHO_S: f64 = 0.025;
/// A change that does not agree with such a moment costs this much ...
pub const SLUR_EDGE_NATS: f64 = 8.0;
/// ... for each time that the square of how far it is off, in spreads, has grown by a factor of e
/// beyond this. Down an octave the echo of the note before last holds the new note's own harmonics,
/// and the whole scene seems to be the new note: with 2 and 3 such slurs were heard 70 to 100 ms early.
pub const SLUR_EDGE_TAIL: f64 = 12.0;
/// No slur takes longer than this, seconds.
pub const SLUR_LONGEST_S: f64 = 0.14;
/// Bands of the slur time, cents: from leaving the old note's to entering the new one's.
pub const SLUR_BAND_CENTS: f64 = 30.0;
/// A caught partial may lie this far from the tube's own, cents.
pub const CAUGHT_BAND_CENTS: f64 = 30.0;
/// Shortest hold that counts as caught, seconds.
pub const CAUGHT_LEAST_S: f64 = 0.012;
/// By how much a curve with a hold must be more likely than a glide, eased or straight, nats, in a dry
/// room (the figures are from before a straight one was asked) ...
pub const CAUGHT_GAIN: f64 = 1.7;
/// ... and this much more for each unit of echo over direct power. On tuning seeds 11 to 16 (echo
/// 0.02 dry, 0.16 to 0.24 room, 0.6 hall) the two find 100, 86 and 65 % of all catches and take 0.7,
/// 2.9 and 3.8 % of clean skips for one; a nat less finds 3 and 2 % more in room and hall and takes 4 % more
/// clean skips of the hall for one (`evaluate -- 11 12 13 14 15 16 --gains`).
pub const CAUGHT_GAIN_ECHO: f64 = 7.5;
/// A room in which this share of an old note's power is left 85 ms after it was left (middle of some slurs) is a
/// hall: on tuning seeds 11 to 16 0.001 to 0.004 dry, 0.04 to 0.07 in the room, 0.21 to 0.35 in the hall.
pub const HALL_LEFT: f64 = 0.12;
/// The reverberation time that a hall is taken to have where no rest is long enough to tell it, seconds, ...
pub const HALL_RT60_S: f64 = 1.5;
/// ... and the shortest that is believed where few short decays told it.
pub const HALL_RT60_LEAST_S: f64 = 0.8;
/// Power of a hall's echo over that of the direct sound, when a tone has sounded for long: that of the simulated
/// hall below 2 kHz; 2.5 to 5 do as well there, and it serves halls of a half to twice as much.
pub const HALL_SHARE: f64 = 3.5;
/// By how much a curve with a hold must be more likely than a glide there, nats.
pub const HALL_CAUGHT_GAIN: f64 = 8.0;
/// In a hall a change is looked for from so long before the decoder's place, seconds: new notes whose harmonics
/// the echo of the old one holds (an octave up) are decoded up to 0.24 s late ...
pub const HALL_EARLIER_S: f64 = 0.26;
/// ... to so long after it.
pub const HALL_LATER_S: f64 = 0.12;
/// Shortest note on each side of it, seconds.
pub const HALL_NOTE_LEAST_S: f64 = 0.05;
/// Sound looked at on each side of where the change may be, seconds, ...
pub const HALL_BESIDE_S: f64 = 0.15;
/// ... but none from so long before the end of the new note: its release.
pub const HALL_END_S: f64 = 0.05;
/// A change away from the decoder's place costs this many nats ...
pub const HALL_NEAR_NATS: f64 = 10.0;
/// ... for each time that the square of the way, in so many seconds, has grown by a factor of e.
pub const HALL_NEAR_S: f64 = 0.03;
/// The player's own sound is alike for so long in a hall's model, seconds: vibrato and waver move the upper
/// harmonics' phases.
pub const HALL_ALIKE_S: f64 = 0.12;
/// Share of a band's power that a hall's model does not explain.
pub const HALL_UNEXPLAINED: f64 = 0.015;
/// Share of the power of a neighbouring harmonic that leaks into a band.
pub const HALL_LEAK: f64 = 0.005;
/// How far the amplitude falls within a change, as a share, ...
pub const HALL_DIP: f64 = 0.4;
/// ... and how far the fall reaches beyond it, seconds.
pub const HALL_DIP_REACH_S: f64 = 0.006;
/// A stop shorter than this ...
pub const JOINED_STOP_S: f64 = 0.06;
/// ... in which the level falls less than this below both notes is no stop but a slur's dip.
pub const JOINED_DIP_DB: f64 = 14.0;
/// A lone first note of the last note's pitch so far below it, dB, is that note's echo: nobody
/// plays a phrase's first note at a thirtieth of the sound pressure of the note before (common
/// practice, no source). Echoes of synthesized takes lay 33 dB and more below their notes.
pub const ECHO_BELOW_DB: f64 = 30.0;
/// A sound of another pitch after a note's end is the room's as long as it lies no further than this
/// above what has died before it, dB.
pub const STOP_RISE_DB: f32 = 6.0;
/// A player stops where a note's phasors move, squared, by at least this share of the held note's
/// power: the direct sound's own share of it is 0.67 in a hall. A fade of 50 dB a second moves them by
/// 0.03 between the two moments compared: it has no one moment at which it stops, ...
pub const STOP_MOVES: f64 = 0.2;
/// ... and lose at least this share of it (on tuning seeds 11 to 14 0.1 does no better, 0.3 leaves more of the
/// hall's silence called sound), ...
pub const STOP_LOSES: f64 = 0.2;
/// ... and what follows must die by so much a second: a room of 2 s does. A recorded amateur ends notes with
/// a soft tail that stands still, 14 dB under the note, for 0.7 s.
pub const STOP_DIES_DB_S: f64 = 30.0;
/// ... or, where there is no time to tell, must not fall for good by this much more in 80 ms than at the stop: a
/// recorded amateur's short note bursts, goes on 7 dB softer for 0.15 s and falls by 40 dB.
pub const STOP_SUDDEN_DB: f64 = 12.0;
/// The last moment that moves by this share of the greatest is the stop. Of simulated ends (three
/// rooms of noise, four releases of 30 to 150 ms, 58 to 932 Hz) nine in ten lie within 10 ms of the
/// release's middle in a room of 0.5 s, within 30 in one of 1.2 s; those far off lie early.
pub const STOP_EQUALS: f64 = 0.8;
/// The sound is done this long after the middle of the release, seconds: half of a release of 40 ms.
pub const STOP_AFTER_S: f64 = 0.02;
/// Periods of the lowest pitch that a live moment waits for: half its window of salience
/// (Camacho & Harris 2008, eq. 11).
pub const LIVE_AHEAD_PERIODS: f64 = 4.0;
/// The least and the most sound that a live moment waits for, seconds: half of the shortest window
/// of salience, and half the window of pitches from 86 Hz up.
pub const LIVE_AHEAD_S: (f64, f64) = (0.024, 0.047);
