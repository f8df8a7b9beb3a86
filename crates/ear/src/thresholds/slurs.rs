//! Slurs where the player is louder than the room: the fit of a change, caught partials.

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
/// the example `slur_edges` finds (seeds 11 to 16, 570 slurs in each) that 4.3 ms should be added to
/// it dry, 0.5 taken off in the room, 3.1 in the hall; half lie within 4.4, 5.6 and 8.0 ms of it. On
/// seeds 401 to 404: 4.1, -1.2, -3.0; 4.1, 5.5, 6.1 ms.
pub const SLUR_ENTERED_S: f64 = 0.006;
/// How far the end of a change lies from it, seconds.
pub const SLUR_ENTERED_SPREAD_S: f64 = 0.006;
/// The old note's own phasors move most this long after the change begins, seconds. The same
/// example finds 2.8 ms less dry, 7.8 more in the room, 8.2 in the hall; half lie within 3.6, 9.2 and
/// 13.0 ms of it (seeds 401 to 404: -2.4, 7.6, 6.9; 3.7, 8.5, 13.4 ms).
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
/// room ...
pub const CAUGHT_GAIN: f64 = 1.7;
/// ... and this much more for each unit of echo over direct power (0.02 dry, 0.16 to 0.24 in the room). In the
/// rooms of tuning seeds 11 to 18 that are not heard as halls the two find 82 % of catches and take 1.4 % of clean
/// eased skips and 5.0 of straight ones for one; a nat more finds 79 % (1.4, 3.4), two less 86 (2.1, 8.4).
pub const CAUGHT_GAIN_ECHO: f64 = 2.5;
/// The curve of a fit's likelihood tells a slur time's standard uncertainty too well by this factor: what its windows
/// and bands hear overlaps.
pub const SLUR_FIT_TIMES: f64 = 2.0;
/// How far a slur time may be off because a change is unlike every curve that is tried, as a standard uncertainty, ms,
/// in a dry room ...
pub const SLUR_UNLIKE_MS: f64 = 0.3;
/// ... and for each unit of echo over direct power. Of eased glides on tuning seeds 11 to 16 one in ten is told more than
/// 2.3 ms wrong dry, 18 ms in the room: an echo that beats is taken for a slower change.
pub const SLUR_UNLIKE_ECHO_MS: f64 = 68.0;
/// A hold is known to this, milliseconds (dry, 97 % of the intervals hold the truth with it, seeds 11 to 13), ...
pub const HOLD_MS: f64 = 6.0;
/// ... and in a room to so much more for each part of the old note that it leaves (0.2 in the room): with 0 one
/// hold in ten lies outside its interval there (seeds 11 to 13), ...
pub const HOLD_ECHO_MS: f64 = 30.0;
/// ... in a hall to this (with 7.5, 91 % did).
pub const HALL_HOLD_MS: f64 = 9.0;
/// A dip is known to this, dB, ...
pub const DIP_DB: f64 = 0.2;
/// ... and in a room to so much more: its echo fills dips by 2 dB (median; with 14, 80 % of the intervals held the
/// truth, with 20, 95). In a hall nothing of a dip is left to see.
pub const DIP_ECHO_DB: f64 = 20.0;
/// An overshoot is known to this beside what the track knows of itself, cents, ...
pub const OVERSHOOT_CENTS: f64 = 0.5;
/// ... in a room to so much more (without it 92 % of the intervals held the truth), ...
pub const OVERSHOOT_ECHO_CENTS: f64 = 10.0;
/// ... in a hall to this (with 0.5, 83 % did).
pub const HALL_OVERSHOOT_CENTS: f64 = 4.0;
