//! The line for live sound, against the built program: recorded whole, through holes, lost
//! connections, malformed frames and a killed server.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod served;

use serde_json::json;
use served::{Server, frame};
use tungstenite::Message;

/// 100 blocks of 480 samples, each sample told by its place.
fn sample(place: u64) -> i16 {
    (place.wrapping_mul(7919) % 20_011) as i16 - 10_000
}

fn block(seq: u32) -> Vec<i16> {
    let first = u64::from(seq) * 480;
    (first..first + 480).map(sample).collect()
}

fn samples(flac: &[u8]) -> Vec<i32> {
    let mut reader = claxon::FlacReader::new(flac).unwrap();
    reader.samples().map(Result::unwrap).collect()
}

fn all(blocks: u32) -> Vec<i32> {
    (0..u64::from(blocks) * 480)
        .map(|place| i32::from(sample(place)))
        .collect()
}

#[test]
fn a_recording_is_kept_sample_for_sample_and_played_back_by_stretches() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    let take = line.start(48_000);
    for seq in 0..100 {
        line.block(seq, u64::from(seq) * 480, &block(seq));
    }
    let ack = loop {
        let ack = line.hear("ack");
        if ack["durable_seq"] == 100 {
            break ack;
        }
    };
    assert_eq!(ack["next_seq"], 100);
    line.say(&json!({"type": "stop"}));
    let saved = line.hear("saved");
    assert_eq!(saved["take"]["id"], take.as_str());
    assert_eq!(saved["take"]["seconds"], 1.0);
    let way = format!("/api/takes/{take}/audio");
    let (status, whole) = server.bytes(&way, None);
    assert_eq!(status, 200);
    assert_eq!(samples(&whole), all(100));
    let (status, part) = server.bytes(&way, Some("bytes=100-199"));
    assert_eq!((status, part.as_slice()), (206, &whole[100..200]));
    let (status, _) = server.bytes(&way, Some(&format!("bytes={}-", whole.len())));
    assert_eq!(status, 416);
    let (_, listed) = server.get("/api/takes");
    assert_eq!(
        (&listed["total"], &listed["takes"][0]["id"]),
        (&json!(1), &json!(take))
    );
}

#[test]
fn a_killed_server_loses_nothing_and_the_page_goes_on() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    let take = line.start(48_000);
    for seq in 0..50 {
        line.block(seq, u64::from(seq) * 480, &block(seq));
    }
    while line.hear("ack")["next_seq"] != 50 {}
    server.kill();

    let server = Server::start(place.path());
    // Whoever looks finds the take as far as it went.
    let (_, found) = server.get(&format!("/api/takes/{take}"));
    assert_eq!(
        (&found["take"]["seconds"], &found["take"]["recovered"]),
        (&json!(0.5), &json!(true))
    );
    // The page comes back and goes on, sending some of it twice.
    let mut line = server.line();
    line.say(&json!({"type": "resume", "take": take}));
    let ready = line.hear("ready");
    assert_eq!(
        (&ready["next_seq"], &ready["next_sample"]),
        (&json!(50), &json!(24_000))
    );
    for seq in 40..100 {
        line.block(seq, u64::from(seq) * 480, &block(seq));
    }
    line.say(&json!({"type": "stop"}));
    assert_eq!(line.hear("saved")["take"]["recovered"], false);
    let (_, whole) = server.bytes(&format!("/api/takes/{take}/audio"), None);
    assert_eq!(samples(&whole), all(100));
    let (_, verdict) = server.post("/api/doctor", &json!({"repair": false}));
    assert_eq!(verdict["problems"], json!([]));
}

#[test]
fn a_lost_connection_leaves_a_take_behind() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    let take = line.start(48_000);
    line.block(0, 0, &block(0));
    while line.hear("ack")["next_seq"] != 1 {}
    drop(line);
    let mut line = server.line();
    // The server may see the broken line a moment later than we do.
    let ready = loop {
        line.say(&json!({"type": "resume", "take": take}));
        let Message::Text(text) = line.0.read().unwrap() else {
            continue;
        };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        if message["type"] == "ready" {
            break message;
        }
        if message["type"] == "error" {
            assert_eq!(message["code"], "conflict");
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
    };
    assert_eq!(ready["next_seq"], 1);
    line.say(&json!({"type": "discard"}));
    line.hear("discarded");
    assert_eq!(server.get("/api/takes").1["total"], 0);
}

#[test]
fn holes_are_asked_for_again_and_given_up_only_when_told_so() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    line.start(48_000);
    line.block(0, 0, &block(0));
    line.block(2, 960, &block(2));
    assert_eq!(line.hear("resend")["from_seq"], 1);
    line.block(1, 480, &block(1));
    line.block(2, 960, &block(2));
    line.say(&json!({"type": "skip", "to_seq": 5, "to_sample": 2400}));
    let gap = line.hear("gap");
    assert_eq!(
        (&gap["why"], &gap["seconds"]),
        (&json!("skipped"), &json!(0.02))
    );
    line.block(5, 2400, &block(5));
    line.say(&json!({"type": "stop"}));
    let take = &line.hear("saved")["take"];
    assert_eq!(
        (&take["seconds"], take["gaps"].as_array().unwrap().len()),
        (&json!(0.06), 1)
    );
}

#[test]
fn malformed_frames_and_messages_are_told_and_the_recording_goes_on() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    let say = |line: &mut served::Line, message: Message| {
        line.0.send(message).unwrap();
        loop {
            if let Message::Text(text) = line.0.read().unwrap() {
                let answer: serde_json::Value = serde_json::from_str(&text).unwrap();
                if answer["type"] == "error" {
                    return answer;
                }
            }
        }
    };
    let early = say(&mut line, Message::binary(frame(0, 0, &[1, 2])));
    assert_eq!(
        (&early["code"], &early["fatal"]),
        (&json!("bad-request"), &json!(false))
    );
    line.start(48_000);
    line.block(0, 0, &block(0));
    for bad in [
        Message::binary(vec![0; 3]),
        Message::binary(vec![9; 100]),
        Message::binary(frame(1, u64::MAX, &[1])),
        Message::binary(frame(1, 5, &[1])),
        Message::text("{"),
        Message::text("{\"type\":\"dance\"}"),
        Message::text("{\"type\":\"start\"}"),
        Message::text("{\"type\":\"resume\",\"take\":\"../../x\"}"),
    ] {
        let answer = say(&mut line, bad.clone());
        assert!(answer["code"] != "internal", "{bad:?}: {answer}");
    }
    line.block(1, 480, &block(1));
    line.say(&json!({"type": "stop"}));
    assert_eq!(line.hear("saved")["take"]["seconds"], 0.02);
    assert_eq!(server.get("/api/health").0, 200);
}

/// Two notes of six partials with a slur of 40 ms between, then silence.
fn slurred(at: u64) -> i16 {
    let at_s = at as f64 / 48_000.0;
    let (low, high) = (233.08_f64, 349.23_f64);
    let along = ((at_s - 0.6) / 0.04).clamp(0.0, 1.0);
    // The phase is the integral of a pitch that glides evenly in cents.
    let glide = 0.04 / (high / low).ln();
    let turns = low * at_s.min(0.6)
        + glide * low * ((high / low).powf(along) - 1.0)
        + high * (at_s - 0.64).max(0.0);
    let wave: f64 = (1..7)
        .map(|h| (std::f64::consts::TAU * turns * f64::from(h)).sin() / f64::from(h))
        .sum();
    if at_s < 1.3 {
        (6000.0 * wave) as i16
    } else {
        0
    }
}

#[test]
fn notes_and_the_slur_between_them_are_told_while_it_is_played() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    line.start(48_000);
    for seq in 0..200_u32 {
        let first = u64::from(seq) * 480;
        let sound: Vec<i16> = (first..first + 480).map(slurred).collect();
        line.block(seq, first, &sound);
    }
    let (mut notes, mut slur) = (Vec::new(), None);
    while notes.len() < 2 || slur.is_none() {
        let Message::Text(text) = line.0.read().unwrap() else {
            continue;
        };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        match message["type"].as_str() {
            Some("note") => notes.push(message["from_s"].as_f64().unwrap()),
            Some("slur") => slur = Some(message),
            Some("state") => assert!(
                message["heard_s"].as_f64() <= message["at_s"].as_f64(),
                "{message}"
            ),
            _ => {}
        }
    }
    assert!(
        notes[0] < 0.1 && (notes[1] - 0.63).abs() < 0.06,
        "{notes:?}"
    );
    let left_s = slur.unwrap()["left_s"].as_f64().unwrap();
    assert!((left_s - 0.6).abs() < 0.03, "left at {left_s}");
}

#[test]
fn every_moment_is_told_with_the_block_that_completes_it() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    line.start(48_000);
    for seq in 0..100_u32 {
        let first = u64::from(seq) * 480;
        let sound: Vec<i16> = (first..first + 480).map(slurred).collect();
        line.block(seq, first, &sound);
    }
    line.say(&json!({"type": "stop"}));
    let mut heard_s = Vec::new();
    loop {
        let Message::Text(text) = line.0.read().unwrap() else {
            continue;
        };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        match message["type"].as_str() {
            Some("state") => {
                let number = |name: &str| message[name].as_f64();
                let (at, heard) = (number("at_s").unwrap(), number("heard_s"));
                // A trumpet's lowest note is heard 24 ms ahead; moments are 10 ms apart.
                heard_s.extend(heard.inspect(|heard| assert!(at - heard < 0.036, "{message}")));
            }
            Some("saved") => break,
            _ => {}
        }
    }
    // Blocks and moments are 10 ms long here: one for each, but for the sound that is waited for.
    assert!(heard_s.len() >= 96, "{} moments", heard_s.len());
    for pair in heard_s.windows(2) {
        assert!((pair[1] - pair[0] - 0.01).abs() < 1e-6, "{pair:?}");
    }
}

#[test]
fn two_servers_cannot_keep_one_studio() {
    let place = tempfile::tempdir().unwrap();
    let _server = Server::start(place.path());
    let second = std::process::Command::new(env!("CARGO_BIN_EXE_waterkey"))
        .args(["serve", "--port", "0", "--data"])
        .arg(place.path())
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(1));
    let said = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(said.contains("open in another program"), "{said}");
}

/// A small disk of our own, where the system lets us mount one (as root on Linux).
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn mount(size: &str) -> Option<Self> {
        let place = tempfile::tempdir().ok()?;
        let mounted = std::process::Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(place.path())
            .stderr(std::process::Stdio::null())
            .status();
        mounted
            .is_ok_and(|status| status.success())
            .then_some(Self(place))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        std::process::Command::new("umount")
            .arg(self.0.path())
            .status()
            .ok();
    }
}

#[test]
fn a_full_disk_is_told_and_nothing_that_was_taken_is_lost() {
    let Some(disk) = SmallDisk::mount("12m") else {
        eprintln!("not tested: only root can mount a small disk");
        return;
    };
    let place = disk.0.path();
    let server = Server::start(&place.join("studio"));
    let filler = place.join("filler");
    std::fs::write(&filler, vec![0; 8 << 20]).unwrap();
    let mut line = server.line();
    line.start(48_000);
    let long: Vec<i16> = (0..16_000).map(|i| sample(i) / 4).collect();
    let mut seq = 0;
    let full = loop {
        line.block(seq, u64::from(seq) * 16_000, &long);
        seq += 1;
        let Message::Text(text) = line.0.read().unwrap() else {
            continue;
        };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        if message["type"] == "error" {
            break message;
        }
        assert!(seq < 2000, "the disk never filled");
    };
    assert_eq!(
        (&full["code"], &full["fatal"]),
        (&json!("disk-full"), &json!(false))
    );
    std::fs::remove_file(&filler).unwrap();
    // The page sends again from where the server says it is.
    let from = loop {
        let ack = line.0.read().unwrap();
        let Message::Text(text) = ack else { continue };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        if message["type"] == "ack" {
            break message["next_seq"].as_u64().unwrap() as u32;
        }
    };
    assert!(from < seq);
    for seq in from..from + 3 {
        line.block(seq, u64::from(seq) * 16_000, &long);
    }
    line.say(&json!({"type": "stop"}));
    let saved = loop {
        let Message::Text(text) = line.0.read().unwrap() else {
            continue;
        };
        let message: serde_json::Value = serde_json::from_str(&text).unwrap();
        if message["type"] == "saved" {
            break message;
        }
        assert!(
            message["type"] != "error" || message["code"] == "disk-full",
            "{message}"
        );
    };
    let blocks = saved["take"]["seconds"].as_f64().unwrap() * 3.0;
    assert_eq!(
        (blocks.round() as u32, &saved["take"]["gaps"]),
        (from + 3, &json!([]))
    );
    assert_eq!(
        server.post("/api/doctor", &json!({"repair": false})).1["problems"],
        json!([])
    );
}
