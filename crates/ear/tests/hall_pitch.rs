//! A note's pitch in a hall: short notes under the echo of another, and a whole tone that ends a line or a take.
mod support;

use ear::{ExpectedNote, Settings, hear};
use support::score::cents;
use support::takes;

/// Notes of the simulated hall that were told 147, 59, 102 and 119 cents wrong (the last of a take that was not known for
/// a hall), a whole tone told 0.2 s late, and two that end the take and were not heard at all: by the simulation's truth
/// they begin so many seconds into the take of a seed, and have that pitch.
const NOTES: [(u64, f64, f64); 7] = [
    (18, 11.359, 276.4),
    (903, 12.354, 233.9),
    (903, 19.979, 277.9),
    (1006, 33.038, 1274.9),
    (904, 36.984, 957.1),
    (1006, 35.998, 842.2),
    (1007, 36.273, 1065.2),
];

#[test]
fn the_echo_of_another_note_leads_no_pitch_astray() {
    for seed in [18, 903, 904, 1006, 1007] {
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

/// The take ends where its last line does; one note more is asked for.
#[test]
fn a_last_note_that_was_left_out_is_not_heard() {
    let takes = takes::slurred(12);
    let take = takes.iter().find(|take| take.name == "slur_rev").unwrap();
    let mut expected = take.expected.clone();
    let notes = &mut expected.lines.last_mut().unwrap().notes;
    let last = notes.last().unwrap().clone();
    notes.push(ExpectedNote {
        id: "left out".to_owned(),
        hz: last.hz * 8.0 / 9.0,
        start_s: last.start_s + last.seconds,
        slurred: true,
        ..last
    });
    let left_out = notes.len() - 1;
    let line = expected.lines.len() - 1;
    let heard = hear(&take.samples(), Some(&expected), &Settings::default());
    let places: Vec<_> = heard.notes.iter().filter_map(|note| note.place).collect();
    let is_there = |note: usize| places.iter().any(|p| (p.line, p.note) == (line, note));
    assert!(is_there(left_out - 1));
    assert!(!is_there(left_out));
}
