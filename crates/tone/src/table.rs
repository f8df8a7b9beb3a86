//! Every spelled pitch with its key and frequency, as rows for other programs to check.

use serde::{Deserialize, Serialize};

use crate::{Hertz, Letter, Pitch, Sounding, Tuning};

/// A pitch with its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PitchRow {
    /// The pitch as spelled.
    pub pitch: Pitch,
    /// Its MIDI key.
    pub midi: i32,
    /// Its frequency when it sounds.
    pub hz: Hertz,
}

/// Every spelling from double flat to double sharp whose letter lies from C0 to C9, rising by
/// letter.
///
/// ```
/// let rows = tone::pitch_table(&tone::Tuning::default());
/// assert_eq!(rows.len(), 5 * (9 * 7 + 1));
/// assert!(rows.iter().any(|row| row.pitch.to_string() == "A4" && row.hz.0 == 440.0));
/// ```
#[must_use]
pub fn pitch_table(tuning: &Tuning) -> Vec<PitchRow> {
    let lowest = Pitch::new(Letter::C, 0, 0).staff_step();
    let highest = Pitch::new(Letter::C, 0, 9).staff_step();
    (lowest..=highest)
        .flat_map(|step| (-2..=2).map(move |alter| (step, alter)))
        .map(|(step, alter)| {
            // Octaves 0 to 9 are far within an i8.
            let pitch = Pitch::new(Letter::from_step(step), alter, (step.div_euclid(7)) as i8);
            PitchRow {
                pitch,
                midi: pitch.midi(),
                hz: tuning.frequency(Sounding(pitch)),
            }
        })
        .collect()
}
