//! Clients that break off, stall or talk nonsense: the server goes on, and nothing is left over.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod served;

use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};
use std::time::{Duration, Instant};

use serde_json::json;
use served::{Server, frame};
use tungstenite::Message;

/// Files that pass through on their way in or out.
fn passing(studio: &std::path::Path) -> usize {
    std::fs::read_dir(studio.join("journals"))
        .unwrap()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_name().to_string_lossy().starts_with("passing-"))
        .count()
}

#[test]
fn clients_that_break_off_or_talk_nonsense_leave_nothing_behind() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let host = &server.authority;
    let said = [
        "GET /api/hea".to_owned(),
        "\0\0\0\0\0\0".to_owned(),
        "BREW /pot HTCPCP/1.0\r\n\r\n".to_owned(),
        format!(
            "GET / HTTP/1.1\r\nHost: {host}\r\nX: {}\r\n\r\n",
            "x".repeat(200_000)
        ),
        format!(
            "POST /api/takes?instrument=trumpet-bflat HTTP/1.1\r\nHost: {host}\r\n\
             Content-Length: 100000\r\n\r\nRIFF"
        ),
        format!("GET /api/live HTTP/1.1\r\nHost: {host}\r\nUpgrade: websocket\r\n\r\n"),
        format!("GET /api/export HTTP/1.1\r\nHost: {host}\r\n\r\n"),
    ];
    for text in said.iter().cycle().take(70) {
        let mut stream = TcpStream::connect(host).unwrap();
        // A server that hangs up first is as good.
        stream.write_all(text.as_bytes()).ok();
        stream.shutdown(Shutdown::Write).ok();
        if text.len() % 2 == 0 {
            let mut answer = [0; 64];
            stream
                .set_read_timeout(Some(Duration::from_millis(50)))
                .unwrap();
            stream.read_exact(&mut answer).ok();
        }
    }
    assert_eq!(server.get("/api/health").0, 200);
    assert_eq!(server.get("/api/takes").1["total"], 0);
    let until = Instant::now() + Duration::from_secs(20);
    while passing(place.path()) > 0 && Instant::now() < until {
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(passing(place.path()), 0, "half-sent files are swept away");
}

#[test]
fn a_page_that_stops_listening_is_recorded_all_the_same() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    line.start(48_000);
    // Half a minute of sound, and nothing is read meanwhile.
    let block: Vec<i16> = (0..480).map(|i| (i * 37 % 2000) as i16 - 1000).collect();
    for seq in 0..3000_u32 {
        line.block(seq, u64::from(seq) * 480, &block);
    }
    line.say(&json!({"type": "stop"}));
    let take = line.hear("saved")["take"].clone();
    assert_eq!(
        (&take["seconds"], &take["gaps"]),
        (&json!(30.0), &json!([]))
    );
}

#[test]
fn a_page_whose_clock_is_mad_is_recorded_and_pictured() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut line = server.line();
    line.start(48_000);
    let clocks = [f64::NAN, f64::INFINITY, -1e300, 0.0, f64::MIN_POSITIVE];
    for (seq, clock) in (0_u32..).zip(clocks) {
        let mut bytes = frame(seq, u64::from(seq) * 480, &[100; 480]);
        bytes[16..24].copy_from_slice(&clock.to_le_bytes());
        line.0.send(Message::binary(bytes)).unwrap();
    }
    let state = line.hear("state");
    assert!(
        state["sent_ms"].is_number() && state["level_db"].is_number(),
        "{state}"
    );
    line.say(&json!({"type": "stop"}));
    assert_eq!(line.hear("saved")["take"]["seconds"], 0.05);
}

#[test]
fn times_that_no_clock_shows_are_refused_by_name() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let (status, player) = server.post(
        "/api/players",
        &json!({"name": "Ada", "instrument": "trumpet-bflat"}),
    );
    assert_eq!(status, 201);
    for at_ms in [i64::MIN, i64::MAX, 1 << 60] {
        let lesson = json!({"player": player["id"], "at_ms": at_ms, "title": "x"});
        let (status, problem) = server.post("/api/lessons", &lesson);
        assert_eq!(status, 422, "{problem}");
        assert!(
            problem["detail"].as_str().unwrap().contains("at_ms"),
            "{problem}"
        );
    }
    for day in ["2026-02-30", "0000-00-00", "99999-01-01", "soon"] {
        let id = player["id"].as_str().unwrap();
        let (status, _) = server.get(&format!("/api/players/{id}/load?day={day}"));
        assert!(status == 400 || status == 422, "{day}: {status}");
    }
}
