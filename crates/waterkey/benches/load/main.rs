//! What the server bears: 200 live streams at once, and 10,000 takes in the store.
//!
//! Run with `cargo bench -p waterkey --bench load`; a number after `--` is the seconds of streaming.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)] // A program for developers.

#[path = "../tests/served/mod.rs"]
mod served;

use std::net::TcpStream;
use std::path::Path;
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use served::Server;
use studio::progress::Measure;
use studio::sound::Sound;
use studio::{HeardTake, NewTake, PlayerInput, Store};
use tungstenite::Message;

const STREAMS: usize = 200;
const TAKES: i64 = 10_000;
const RATE: u32 = 48_000;
const BLOCK: usize = 1024;

fn main() {
    let seconds = std::env::args().filter_map(|a| a.parse().ok()).next();
    let place = tempfile::tempdir().unwrap();
    streams(place.path(), seconds.unwrap_or(20.0));
    let place = tempfile::tempdir().unwrap();
    pages(place.path());
}

/// What one stream saw.
struct Seen {
    sent: u32,
    kept_s: f64,
    gaps: usize,
    resends: usize,
    delays_ms: Vec<f64>,
}

fn streams(data: &Path, seconds: f64) {
    let server = Server::start(data);
    let (tell, told) = mpsc::channel();
    for _ in 0..STREAMS {
        let (line, tell) = (server.line(), tell.clone());
        thread::spawn(move || tell.send(stream(line, seconds)).unwrap());
    }
    drop(tell);
    let seen: Vec<Seen> = told.iter().collect();
    let sent: u32 = seen.iter().map(|s| s.sent).sum();
    let kept: f64 = seen
        .iter()
        .map(|s| s.kept_s * f64::from(RATE) / BLOCK as f64)
        .sum();
    let mut delays: Vec<f64> = seen.iter().flat_map(|s| s.delays_ms.clone()).collect();
    println!(
        "{STREAMS} streams of {RATE} Hz f32 in blocks of {BLOCK} for {seconds} s: {sent} blocks sent, \
         {kept:.0} kept, {} gaps, {} resends",
        seen.iter().map(|s| s.gaps).sum::<usize>(),
        seen.iter().map(|s| s.resends).sum::<usize>(),
    );
    println!("block to picture, ms: {}", spread(&mut delays));
}

fn stream(mut line: served::Line, seconds: f64) -> Seen {
    line.say(&json!({
        "type": "start", "sample_rate": RATE, "format": "f32", "instrument": "trumpet-bflat",
    }));
    line.hear("ready");
    let start = Instant::now();
    let blocks = (seconds * f64::from(RATE) / BLOCK as f64) as u32;
    let mut seen = Seen {
        sent: 0,
        kept_s: 0.0,
        gaps: 0,
        resends: 0,
        delays_ms: Vec::new(),
    };
    let now_ms = move || start.elapsed().as_secs_f64() * 1e3;
    line.0
        .get_mut()
        .set_read_timeout(Some(Duration::from_millis(1)))
        .unwrap();
    for seq in 0..blocks {
        let due = Duration::from_secs_f64(f64::from(seq) * BLOCK as f64 / f64::from(RATE));
        while start.elapsed() < due {
            listen(&mut line.0, &mut seen, now_ms());
        }
        let mut bytes = vec![1, 0, 0, 0];
        bytes.extend(seq.to_le_bytes());
        bytes.extend((u64::from(seq) * BLOCK as u64).to_le_bytes());
        bytes.extend(now_ms().to_le_bytes());
        let wave = |i: usize| ((i + seq as usize * BLOCK) as f32 * 0.06).sin() * 0.3;
        bytes.extend((0..BLOCK).flat_map(|i| wave(i).to_le_bytes()));
        line.0.send(Message::binary(bytes)).unwrap();
        seen.sent += 1;
    }
    line.0.get_mut().set_read_timeout(None).unwrap();
    line.say(&json!({"type": "stop"}));
    seen.kept_s = line.hear("saved")["take"]["seconds"].as_f64().unwrap();
    seen
}

fn listen(socket: &mut tungstenite::WebSocket<TcpStream>, seen: &mut Seen, now_ms: f64) {
    let Ok(Message::Text(text)) = socket.read() else {
        return; // Nothing came within the millisecond.
    };
    let message: Value = serde_json::from_str(&text).unwrap();
    match message["type"].as_str() {
        Some("state") => seen
            .delays_ms
            .push(now_ms - message["sent_ms"].as_f64().unwrap()),
        Some("gap") => seen.gaps += 1,
        Some("resend") => seen.resends += 1,
        _ => {}
    }
}

fn spread(values: &mut [f64]) -> String {
    values.sort_by(f64::total_cmp);
    let at = |share: f64| values.get((share * (values.len().max(1) - 1) as f64) as usize);
    let [half, most, all] = [0.5, 0.95, 1.0].map(|share| at(share).copied().unwrap_or(f64::NAN));
    format!(
        "median {half:.2}, p95 {most:.2}, max {all:.2} ({} values)",
        values.len()
    )
}

fn pages(data: &Path) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let (player, take) = runtime.block_on(fill(data));
    let server = Server::start(data);
    for way in [
        "/api/health".to_owned(),
        "/api/players".to_owned(),
        "/api/takes?limit=50".to_owned(),
        format!("/api/takes?limit=50&player={player}"),
        format!("/api/takes/{take}"),
        format!("/api/players/{player}/progress"),
        format!("/api/players/{player}/load?day=2026-11-25"),
        format!("/api/players/{player}/advice"),
        "/api/instruments".to_owned(),
        "/api/instruments/trumpet-bflat/chart".to_owned(),
        "/api/exercises".to_owned(),
        "/api/lessons".to_owned(),
    ] {
        let mut times: Vec<f64> = (0..40)
            .map(|_| {
                let start = Instant::now();
                assert_eq!(server.get(&way).0, 200, "{way}");
                start.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        let way = way.replace(&player, "PLAYER").replace(&take, "TAKE");
        println!("{TAKES} takes, {way}, ms: {}", spread(&mut times));
    }
}

/// Ten players, a thousand takes each, half a day apart, all heard.
async fn fill(data: &Path) -> (String, String) {
    let store = Store::open(data).await.unwrap();
    let mut players = Vec::new();
    for number in 0..10 {
        let about = PlayerInput::named(format!("Player {number}"), "trumpet-bflat");
        players.push(store.add_player(&about).await.unwrap().id);
    }
    let sound = Sound {
        sample_rate: 44_100,
        channels: 1,
        samples: (0..4410).map(|i| (i as f32 * 0.05).sin() * 0.2).collect(),
    };
    let notes: Vec<Value> = (0..200)
        .map(|i| json!({"id": i, "cents": 1.5, "ms": 40}))
        .collect();
    let mut last = String::new();
    for number in 0..TAKES {
        let player = players[number as usize % players.len()].clone();
        let about = NewTake {
            player: Some(player),
            exercise: Some("long-notes-home".into()),
            instrument: "trumpet-bflat".into(),
            title: format!("Take {number}"),
            started_ms: 1_795_608_000_000 - number * 4_320_000,
            part: Some(json!({"lines": notes})),
            origin: None,
        };
        let take = store.add_take(&about, sound.clone()).await.unwrap();
        let measures =
            ["centring", "steadiness", "starts", "slurs", "evenness"].map(|skill| Measure {
                skill: skill.into(),
                zone: "all".into(),
                value: 5.0 + (number * 7919 % 100) as f64 * 0.05,
                sigma: 0.5,
            });
        let heard = HeardTake {
            version: "bench".into(),
            summary: json!({"playing_s": 0.05, "load": 0.1, "findings": [{"kind": "flat", "size": 9.0, "weight": 0.5}]}),
            report: json!({"notes": notes}),
            curves: json!({"at_s": [0.0]}),
            measures: measures.to_vec(),
        };
        store.put_heard(&take.id, &heard).await.unwrap();
        last = take.id;
    }
    store.close().await;
    (players[0].clone(), last)
}
