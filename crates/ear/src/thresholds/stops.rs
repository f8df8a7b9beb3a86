//! Where a player stops and the room goes on.

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
/// ... or, in a hall, move by this much, where beats of the echo make up for what is lost: with 0.6 as with 0.9
/// 5.7 % of the silence after its slurred notes is called sound (tuning seeds 11 to 16), without it 7.6. In a dry
/// room it ends a recorded tuba's low F early, ...
pub const STOP_TURNS: f64 = 0.8;
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
