//! Notes with nothing asked for: where they are cut, where they begin.

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
