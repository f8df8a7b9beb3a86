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
            // Aim: 99 %, 0 %, 0.92, 80 % at no more than 5 %, 6 ms: onsets are not there yet.
            "slur_room" => (99.0, 0.0, 0.91, 80.0, 5.0, 3.0),
            // Aim: 95 %, 0.5 %, 0.88, 60 % at no more than 5 %: gross errors and onsets are not
            // there yet.
            _ => (95.0, 2.0, 0.72, 60.0, 5.0, 3.0),
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
            // Aim: no more than 5 % invented; two of 29 are, in the room and in the hall.
            "straight_room" => (80.0, 7.0, 6.0),
            _ => (60.0, 7.0, 7.0),
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
