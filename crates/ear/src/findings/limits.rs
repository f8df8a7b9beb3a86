//! From where on a figure is a finding, and how much it matters.

use super::FindingKind;

/// One limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// What it is for.
    pub kind: FindingKind,
    /// Figures beyond this, by more than their 95 % interval, are findings.
    pub limit: f64,
    /// Unit of the limit.
    pub unit: &'static str,
    /// How much one such figure matters against the others.
    pub weight: f64,
    /// Why this limit.
    pub why: &'static str,
}

macro_rules! limit {
    ($kind:ident, $limit:expr, $unit:literal, $weight:expr, $why:literal) => {
        Limit {
            kind: FindingKind::$kind,
            limit: $limit,
            unit: $unit,
            weight: $weight,
            why: $why,
        }
    };
}

/// The table. Weights are common practice, no source: wrong and missing notes first, then what
/// breaks a line, then pitch, then polish.
pub const LIMITS: [Limit; 18] = [
    limit!(WrongNote, 0.0, "notes", 5.0, "any"),
    limit!(MissingNote, 0.0, "notes", 5.0, "any"),
    limit!(
        Caught,
        15.0,
        "ms",
        4.0,
        "the shortest hold that counts as caught"
    ),
    limit!(Chipped, 15.0, "ms", 4.0, "as for slurs"),
    limit!(
        TakeOffPitch,
        5.0,
        "cents",
        3.0,
        "trained listeners tell 2.5 to 5 cents (Micheyl et al. 2006)"
    ),
    limit!(
        Flat,
        10.0,
        "cents",
        3.0,
        "10 to 15 cents pass for in tune in a melody; common practice"
    ),
    limit!(Sharp, 10.0, "cents", 3.0, "as for flat"),
    limit!(
        Wander,
        10.0,
        "cents",
        2.0,
        "as large as a deviation that is heard"
    ),
    limit!(
        SlowSlur,
        90.0,
        "ms",
        2.0,
        "half as long again as the longest glide of the simulated takes (60 ms)"
    ),
    limit!(
        Dip,
        6.0,
        "dB",
        2.0,
        "half the amplitude: heard as a new attack"
    ),
    limit!(
        Overshoot,
        20.0,
        "cents",
        1.5,
        "beyond the settled band of a slur"
    ),
    limit!(Scoop, 25.0, "cents", 1.5, "the settled band of an attack"),
    limit!(
        SlowAttack,
        120.0,
        "ms",
        1.5,
        "a quaver at 120 is 250 ms: half of it unsettled"
    ),
    limit!(
        Sag,
        15.0,
        "cents",
        1.0,
        "as for pitch, with the end less heard"
    ),
    limit!(
        UnevenLevel,
        3.0,
        "dB",
        2.0,
        "three times 1 dB, about the smallest change of level that is told"
    ),
    limit!(
        UnevenSound,
        0.35,
        "octaves",
        1.5,
        "common practice, no source: a quarter more or less"
    ),
    limit!(
        RoofChanges,
        4.0,
        "dB",
        2.0,
        "above the 1 to 3 dB that listeners tell (Moore et al. 1989)"
    ),
    limit!(
        Loud,
        85.0,
        "dB(A)",
        3.0,
        "NIOSH 98-126: 85 dB(A) for 8 hours"
    ),
];

/// The limit for a kind.
#[must_use]
pub(super) fn of(kind: FindingKind) -> Limit {
    LIMITS
        .into_iter()
        .find(|limit| limit.kind == kind)
        .unwrap_or(limit!(WrongNote, 0.0, "", 1.0, ""))
}
