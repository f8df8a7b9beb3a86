//! Every measure in one table: what it is, where it looks, when it is not made, and what chose
//! its limits. `docs/measures.md` is written from it.

use serde::Serialize;

use super::{attack, evenness, level, pitch, release, same_roof, tone, vibrato, wander};

/// A measure defined. All uncertainties are standard uncertainties (one sigma).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Definition {
    /// Its name in the report.
    pub id: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Where it looks.
    pub window: &'static str,
    /// When it is not made.
    pub limits: &'static str,
    /// The experiment or source that chose its limits.
    pub chosen_by: &'static str,
}

/// The slur measures are the hearing core's; their limits stand in `thresholds`.
const SLUR: Definition = Definition {
    id: "slur_ms",
    name: "slur",
    unit: "ms",
    what: "time between the pitch leaving the first note's band and entering the second's",
    window: "the change between two notes without a stop",
    limits: "too echoing when the old note's echo hides the change",
    chosen_by: "the hearing core's thresholds table",
};
const DIP: Definition = Definition {
    id: "dip_db",
    name: "dip",
    unit: "dB",
    what: "how far the level falls below both notes in a slur",
    limits: "too echoing in a hall, whose echo fills it; a smaller room's fills it in part, which the \
             interval tells",
    chosen_by: "tests/slur_coverage.rs asks that the interval covers the truth",
    ..SLUR
};
const OVERSHOOT: Definition = Definition {
    id: "overshoot_cents",
    name: "overshoot",
    unit: "cents",
    what: "how far the pitch goes past the new note before it settles",
    chosen_by: "tests/slur_coverage.rs asks that the interval covers the truth",
    ..SLUR
};

/// All measures, in the order of the report.
pub const TABLE: [Definition; 19] = [
    pitch::DEFINITION,
    wander::DEFINITION,
    vibrato::RATE,
    vibrato::EXTENT,
    attack::SCOOP,
    attack::ATTACK,
    attack::CHIPPED,
    release::RELEASE,
    release::SAG,
    level::LEVEL,
    level::LEVEL_DBA,
    tone::BRIGHTNESS,
    tone::PARTIALS,
    tone::NOISE,
    SLUR,
    DIP,
    OVERSHOOT,
    evenness::LEVEL,
    same_roof::SOUND,
];

/// The table as Markdown.
#[must_use]
pub fn markdown() -> String {
    let mut page = String::from(
        "# What is measured\n\nWritten from `crates/ear/src/measure/table.rs`; a test fails when \
         the two disagree.\nEvery value has a standard uncertainty (one sigma); a 95 % interval \
         is the value plus or minus 1.96 of it.\n",
    );
    for d in TABLE {
        let part = format!(
            "\n## {} (`{}`, {})\n- **is** {}.\n- **looks at** {}.\n- **not made** {}.\n- **chosen by** {}.\n",
            d.name, d.id, d.unit, d.what, d.window, d.limits, d.chosen_by
        );
        page.push_str(&part);
    }
    page
}
