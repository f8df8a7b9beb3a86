//! A note's pitch in a hall: short notes under the echo of another, and a whole tone that ends a line.
mod support;

use ear::{Settings, hear};
use support::score::cents;
use support::takes;

/// Notes of the simulated hall that were told 147, 59 and 102 cents wrong, and a whole tone told 0.2 s late: by the
/// simulation's truth they begin so many seconds into the take of a seed, and have that pitch.
const NOTES: [(u64, f64, f64); 4] = [
    (18, 11.359, 276.4),
    (903, 12.354, 233.9),
    (903, 19.979, 277.9),
    (904, 36.984, 957.1),
];

#[test]
fn the_echo_of_another_note_leads_no_pitch_astray() {
    for seed in [18, 903, 904] {
        let takes = takes::slurred(seed);
        let take = takes.iter().find(|take| take.name == "slur_rev").unwrap();
        let heard = hear(&take.samples(), Some(&take.expected), &Settings::default());
        for (_, onset_s, hz) in NOTES.iter().filter(|note| note.0 == seed) {
            let near = heard
                .notes
                .iter()
                .find(|note| (note.onset_s - onset_s).abs() < 0.03);
            let note = near.unwrap_or_else(|| panic!("{seed}: no note at {onset_s} s"));
            let away = cents(note.hz, *hz);
            assert!(away.abs() < 10.0, "{seed}: {away:.1} cents at {onset_s} s");
        }
    }
}
