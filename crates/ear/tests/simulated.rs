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
            // Aim: 0.2 cent and 99.5 % for both; 20 dB is not there yet.
            let most = if take.name == "sus_40" { 0.2 } else { 0.3 };
            assert!(f.median <= most, "{}: {f:?}", take.name);
            assert!(f.within_5 >= 99.4, "{}: {f:?}", take.name);
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
        if take.name == "slur_40" {
            // Aim: 100 %, 0 %, 0.98, 98 %, 2.5 ms: onsets and caught partials are not there yet.
            assert!(near >= 99.0, "{near} % within 5 c");
            assert!(far <= 0.0, "{far} % beyond 50 c");
            assert!(onsets >= 0.89, "onsets {onsets}");
            assert!(slurs.found >= 57.0 && slurs.invented <= 5.0, "{slurs:?}");
            assert!(slurs.error_ms <= 2.5, "{slurs:?}");
        }
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
