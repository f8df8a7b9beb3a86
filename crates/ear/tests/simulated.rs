//! What the ear reaches on simulated takes of a reporting seed: nothing here was chosen on it.
//!
//! The bounds keep what is reached today, rounded down, so that nothing gets worse unseen; the
//! example `evaluate` prints every figure for any seeds.
#![allow(clippy::print_stdout)]

mod support;

use ear::{Heard, Settings, hear};
use support::score;
use support::takes::{self, Take};

const SEED: u64 = 101;

fn heard(take: &Take) -> Heard {
    hear(&take.samples(), Some(&take.expected), &Settings::default())
}

fn share(errors: &[f64], test: impl Fn(f64) -> bool) -> f64 {
    100.0 * errors.iter().filter(|e| test(**e)).count() as f64 / errors.len().max(1) as f64
}

#[test]
fn steady_pitch() {
    for take in takes::sustained(SEED) {
        let heard = heard(&take);
        let f = score::frames(&[(&take, &heard)], |_| true);
        println!("{}: {f:?}", take.name);
        if matches!(take.name, "sus_40" | "sus_20") {
            // Aim: 0.2 cent and 99.5 % for both; the median at 20 dB is not there yet.
            let most = if take.name == "sus_40" { 0.2 } else { 0.3 };
            assert!(f.median <= most, "{}: {f:?}", take.name);
            assert!(f.within_5 >= 99.5, "{}: {f:?}", take.name);
        }
        if matches!(take.name, "sus_40" | "sus_20" | "sus_hp250") {
            assert!(f.octaves <= 0.0, "{}: {f:?}", take.name);
        }
    }
}

#[test]
fn slurred_notes() {
    for take in takes::slurred(SEED) {
        let heard = heard(&take);
        let errors = score::notes(&take, &heard);
        let (near, far) = (share(&errors, |e| e <= 5.0), share(&errors, |e| e > 50.0));
        let found: Vec<f64> = heard.notes.iter().map(|n| n.onset_s).collect();
        let onsets = score::onsets(&take.onsets, &found, 0.02, 0.0);
        let slurs = score::slurs(&[(&take, &heard)]);
        println!(
            "{}: {near:.1} % within 5 c, {far:.1} % beyond 50 c, onsets {onsets:.3}, {slurs:?}, agreement {:?}, RT {:?}",
            take.name, heard.agreement, heard.reverb_s
        );
        let reached = match take.name {
            // The aims of the dry take, reached: 100 %, 0 %, 0.98, 98 % at no more than 5 %, 2.5 ms.
            "slur_40" => (100.0, 0.0, 0.99, 98.0, 5.0, 2.5),
            // Those of the room, reached: 99 %, 0 %, 0.92, 80 % at no more than 5 %, 6 ms.
            "slur_room" => (99.0, 0.0, 0.92, 80.0, 5.0, 3.0),
            // The aims of the hall, reached: 95 %, 0.5 %, 0.88, 60 % at no more than 5 %.
            _ => (98.0, 0.5, 0.94, 85.0, 5.0, 4.0),
        };
        let (within, beyond, onset, found, invented, error) = reached;
        assert!(near >= within, "{}: {near} % within 5 c", take.name);
        assert!(far <= beyond, "{}: {far} % beyond 50 c", take.name);
        assert!(onsets >= onset, "{}: onsets {onsets}", take.name);
        assert!(slurs.found >= found, "{}: {slurs:?}", take.name);
        assert!(slurs.invented <= invented, "{}: {slurs:?}", take.name);
        assert!(slurs.error_ms <= error, "{}: {slurs:?}", take.name);
    }
}

/// Glides that go evenly are not taken for short holds.
#[test]
fn straight_glides() {
    for take in takes::straight(SEED) {
        let heard = heard(&take);
        let slurs = score::slurs(&[(&take, &heard)]);
        println!("{}: {slurs:?}", take.name);
        let (found, invented, error) = match take.name {
            "straight_40" => (98.0, 5.0, 2.5),
            "straight_room" => (80.0, 5.0, 6.0),
            // Over seeds 801 to 804 9.9 % of clean skips are taken for a catch in the hall.
            _ => (80.0, 5.0, 5.0),
        };
        assert!(slurs.invented <= invented, "{}: {slurs:?}", take.name);
        assert!(slurs.found >= found, "{}: {slurs:?}", take.name);
        assert!(slurs.error_ms <= error, "{}: {slurs:?}", take.name);
    }
}

#[test]
fn tongued_onsets() {
    let take = takes::tongued(SEED);
    let heard = heard(&take);
    let found: Vec<f64> = heard.notes.iter().map(|n| n.onset_s).collect();
    let onsets = score::onsets(&take.onsets, &found, 0.02, 0.0);
    println!(
        "tongued: onsets {onsets:.3}, agreement {:?}",
        heard.agreement
    );
    assert!(onsets >= 0.99, "{onsets}");
}

/// A short note tongued again at the same pitch, with no more than 15 ms between: in this take one of 0.33 s
/// passed for the beginning of the next.
#[test]
fn a_short_note_tongued_again_is_heard_twice() {
    let take = takes::tongued(801);
    let heard = heard(&take);
    let places: std::collections::BTreeSet<(usize, usize)> = heard
        .notes
        .iter()
        .filter_map(|note| note.place.map(|place| (place.line, place.note)))
        .collect();
    assert_eq!(places.len(), take.onsets.len());
}
