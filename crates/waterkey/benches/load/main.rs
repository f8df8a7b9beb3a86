//! What the server bears: one live stream, up to 200 of them at once, and 10,000 takes in the store.
//!
//! Run with `cargo bench -p waterkey --bench load`. After `--` come the loads to run (`one`,
//! `many`, `takes`; all without any) and numbers: the seconds of streaming, then how many takes.
#![allow(missing_docs, clippy::panic, clippy::unwrap_used, clippy::print_stdout)] // A program for developers.

mod crowd;
#[path = "../../tests/served/mod.rs"]
mod served;
mod streams;
mod studio_of_years;

use serde_json::json;
use served::Server;

const INSTRUMENT: &str = "trumpet-bflat";
const EXERCISE: &str = "arpeggios-one-roof-major";

fn main() {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let asked = |load: &str| {
        let named = |name: &&String| ["one", "many", "takes"].contains(&name.as_str());
        given.iter().any(|name| name == load) || !given.iter().any(|name| named(&name))
    };
    let mut numbers = given.iter().filter_map(|text| text.parse::<u32>().ok());
    let seconds = f64::from(numbers.next().unwrap_or(20));
    let takes = numbers.next().unwrap_or(10_000);
    if asked("one") {
        streams::one(tempfile::tempdir().unwrap().path(), seconds);
    }
    if asked("many") {
        crowd::many(seconds);
    }
    if asked("takes") {
        studio_of_years::pages(tempfile::tempdir().unwrap().path(), takes);
    }
}

/// The exercise as the program sounds it, as a WAVE file.
fn sound(server: &Server, player: &str) -> Vec<u8> {
    let (status, wave) = server.post_bytes(
        "/api/parts/export",
        &json!({"exercise": EXERCISE, "player": player, "format": "wav"}),
    );
    assert_eq!(status, 200);
    wave
}

/// Adds a player; gives the id.
fn player(server: &Server, name: &str) -> String {
    let about = json!({"name": name, "instrument": INSTRUMENT});
    let (status, player) = server.post("/api/players", &about);
    assert_eq!(status, 201, "{player}");
    player["id"].as_str().unwrap().to_owned()
}

/// Median, 95th percentile and greatest of values.
fn spread(values: &mut [f64]) -> String {
    values.sort_by(f64::total_cmp);
    let at = |share: f64| values.get((share * (values.len().max(1) - 1) as f64) as usize);
    let [half, most, all] = [0.5, 0.95, 1.0].map(|share| at(share).copied().unwrap_or(f64::NAN));
    format!(
        "median {half:.2}, p95 {most:.2}, max {all:.2} ({} values)",
        values.len()
    )
}
