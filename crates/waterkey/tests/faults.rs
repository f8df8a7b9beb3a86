//! Clients that break off, stall or talk nonsense: the server goes on, and nothing is left over.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod served;

use std::io::{ErrorKind, Read, Write};
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

/// A WebSocket by hand: the upgrade is done, frames are bytes.
fn socket(server: &Server) -> TcpStream {
    let mut stream = TcpStream::connect(&server.authority).unwrap();
    write!(
        stream,
        "GET /api/live HTTP/1.1\r\nHost: {}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\
         Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n",
        server.authority
    )
    .unwrap();
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        let mut byte = [0];
        stream.read_exact(&mut byte).unwrap();
        head.push(byte[0]);
    }
    assert!(head.starts_with(b"HTTP/1.1 101"), "{head:?}");
    stream
}

/// A frame as RFC 6455 (section 5.2) lays it out, masked with zeros, so that the bytes stay plain.
fn masked(first: u8, text: &[u8]) -> Vec<u8> {
    let mut bytes = vec![first, 0x80 | text.len() as u8, 0, 0, 0, 0];
    bytes.extend(text);
    bytes
}

#[test]
fn frames_that_break_the_protocol_close_one_line_and_no_other() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut good = server.line();
    good.start(48_000);
    let mut sent = 0_u32;
    let broken: [(&str, Vec<u8>); 9] = [
        ("not masked", vec![0x81, 2, b'{', b'}']),
        ("an opcode that is kept for later", masked(0x83, b"")),
        ("reserved bits", masked(0xf1, b"{}")),
        ("text that is no UTF-8", masked(0x81, &[0xff, 0xfe])),
        ("a ping in pieces", masked(0x09, b"x")),
        ("a piece that goes on with nothing", masked(0x80, b"x")),
        ("a close code that is none", masked(0x88, &[0, 1])),
        (
            "a length beyond any memory",
            [&[0x82, 0xff][..], &[0x7f; 8], &[0; 4]].concat(),
        ),
        (
            "longer than a block may be",
            [
                &[0x82, 0xff, 0, 0, 0, 0, 0x7f, 0, 0, 0, 0, 0, 0, 0][..],
                &[7; 4096],
            ]
            .concat(),
        ),
    ];
    for (what, bytes) in broken {
        let mut stream = socket(&server);
        stream.write_all(&bytes).unwrap();
        let wait = Some(Duration::from_secs(20));
        stream.set_read_timeout(wait).unwrap();
        let mut rest = Vec::new();
        // Ended by the server, with a close frame or without; a reset ends it as well.
        match stream.read_to_end(&mut rest) {
            Ok(_) => {}
            Err(error) => assert_eq!(error.kind(), ErrorKind::ConnectionReset, "{what}: {error}"),
        }
        good.block(sent, u64::from(sent) * 480, &[100; 480]);
        sent += 1;
    }
    // A message whose pieces never end holds nobody up.
    let mut endless = socket(&server);
    endless.write_all(&masked(0x01, b"{\"type\":")).unwrap();
    good.say(&json!({"type": "stop"}));
    let take = good.hear("saved")["take"].clone();
    assert_eq!(take["seconds"], f64::from(sent) * 0.01);
    assert_eq!(server.get("/api/health").1["recording"], 0);
}

#[test]
fn a_body_that_stops_coming_is_given_up_and_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let mut stream = TcpStream::connect(&server.authority).unwrap();
    let (cookie, token) = server.pass();
    write!(
        stream,
        "POST /api/takes?instrument=trumpet-bflat HTTP/1.1\r\nHost: {}\r\nCookie: {cookie}\r\n\
         x-waterkey-token: {token}\r\nContent-Length: 100000\r\n\r\nRIFF",
        server.authority
    )
    .unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(60)))
        .unwrap();
    let mut answer = [0; 12];
    stream.read_exact(&mut answer).unwrap();
    assert_eq!(&answer, b"HTTP/1.1 408");
    assert_eq!(passing(place.path()), 0);
    assert_eq!(server.get("/api/takes").1["total"], 0);
}
