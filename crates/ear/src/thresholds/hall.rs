//! Slurs in a hall.
//!
//! Tried on tuning seeds 11 to 16, one at a time: an unexplained share of 0.007 and 0.015, a leak of 0.005 and 0.01, the
//! player's sound alike for 0.07 and 0.12 s, an echo of 2.5, 3.5 and 5: onsets within 20 ms stay between .959 and .975 and,
//! at 5 % of clean skips taken for one, 83 to 95 % of catches are found. With 0, 3 and 10 nats for the decoder's place
//! onsets were .927, .934 and .951 (11 to 14, before leaks were counted).

/// A room in which this share of an old note's power is left 85 ms after it was left (middle of some slurs) is a
/// hall: on tuning seeds 11 to 16 0.001 to 0.004 dry, 0.04 to 0.07 in the room, 0.21 to 0.35 in the hall.
pub const HALL_LEFT: f64 = 0.12;
/// The reverberation time that a hall is taken to have where no rest is long enough to tell it, seconds, ...
pub const HALL_RT60_S: f64 = 1.5;
/// ... and the shortest that is believed where few short decays told it.
pub const HALL_RT60_LEAST_S: f64 = 0.8;
/// Power of a hall's echo over that of the direct sound, when a tone has sounded for long: that of the simulated
/// hall (`tests/hall_echo.rs`); 2.5 to 5 do as well there, and it serves halls of a half to twice as much.
pub const HALL_SHARE: f64 = 3.5;
/// By how much a curve with a hold must be more likely than a glide there, nats. In the halls of tuning seeds 11 to 18
/// it finds 91 % of the holds, 89 beside straight glides, and takes 1.1 % of clean eased glides for one and 3.8 of
/// straight ones; with 8 they are 85 and 87 % (1.1, 3.2), with 12 79 and 78 (0.5, 2.2).
pub const HALL_CAUGHT_GAIN: f64 = 6.0;
/// In a hall a change is looked for from so long before the decoder's place, seconds: new notes whose harmonics
/// the echo of the old one holds (an octave up) are decoded up to 0.24 s late ...
pub const HALL_EARLIER_S: f64 = 0.26;
/// ... or from so long before it, where the decoder had but a glimpse of a note (at a line's end a whole tone near
/// 1,000 Hz was decoded 0.49 s late, seed 904; neither this nor the next has a sweep), ...
pub const HALL_EARLIEST_S: f64 = 0.52;
/// ... no longer than this, seconds, ...
pub const HALL_GLIMPSE_S: f64 = 0.15;
/// ... to so long after it.
pub const HALL_LATER_S: f64 = 0.12;
/// A note has begun so long after its onset, seconds.
pub const HALL_BEGUN_S: f64 = 0.02;
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
/// How far a slur time may be off in a hall because a change is unlike every curve that is tried, as a standard
/// uncertainty, ms: of eased glides on tuning seeds 11 to 16 one in ten is told more than 9 ms wrong.
pub const HALL_UNLIKE_MS: f64 = 4.5;
/// By how many nats a line's last note, that the decoder did not hear, must be likelier than that the one before it is
/// held to the end: six such notes (simulated halls 11, 1004, 1007, 1010, 1011, 1013) are by 1,600 to 4,800, a note that
/// nothing follows (11 to 30, a whole tone and a fourth up and down) by 95 at most.
pub const HIDDEN_GAIN: f64 = 400.0;
/// Such a note is looked for within so long before the end, seconds: of a longer one the decoder hears what outlasts the
/// echo, and the time that the search takes grows with the cube of this.
pub const HIDDEN_WITHIN_S: f64 = 1.0;
