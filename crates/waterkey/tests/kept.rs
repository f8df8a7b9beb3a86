//! What people keep of their own: recordings sent in, instruments with their bores, mouthpieces.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod served;

use serde_json::{Value, json};
use served::Server;

/// A WAVE file of 16-bit samples, interleaved.
fn wave(rate: u32, channels: u16, samples: &[i16]) -> Vec<u8> {
    let size = (samples.len() * 2) as u32;
    let mut bytes = b"RIFF".to_vec();
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    bytes.extend(1_u16.to_le_bytes());
    bytes.extend(channels.to_le_bytes());
    bytes.extend(rate.to_le_bytes());
    bytes.extend((rate * u32::from(channels) * 2).to_le_bytes());
    bytes.extend((channels * 2).to_le_bytes());
    bytes.extend(16_u16.to_le_bytes());
    bytes.extend(b"data");
    bytes.extend(size.to_le_bytes());
    bytes.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
    bytes
}

fn tone(rate: u32, at: usize) -> i16 {
    (8000.0 * (at as f64 * 466.16 * std::f64::consts::TAU / f64::from(rate)).sin()) as i16
}

#[test]
fn a_file_sent_in_keeps_its_rate_and_says_what_became_of_its_channels() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    for (rate, kept) in [(32_000, 32_000), (48_000, 48_000), (192_000, 96_000)] {
        // The right channel runs against the left: averaged as they are, they would cancel.
        let stereo: Vec<i16> = (0..rate as usize)
            .flat_map(|at| [tone(rate, at), -tone(rate, at)])
            .collect();
        let (status, take) = server.send(
            "/api/takes?instrument=trumpet-bflat&title=sent",
            "audio/wav",
            &wave(rate, 2, &stereo),
        );
        assert_eq!(status, 201, "{take}");
        assert_eq!(
            (&take["sample_rate"], &take["channels"], &take["seconds"]),
            (&json!(kept), &json!(1), &json!(1.0))
        );
        let origin = &take["origin"];
        assert_eq!(
            (&origin["sample_rate"], &origin["channels"]),
            (&json!(rate), &json!(2))
        );
        let weights: Vec<f64> = serde_json::from_value(origin["weights"].clone()).unwrap();
        assert!((weights[0] + weights[1]).abs() < 1e-9, "{weights:?}");
        assert_eq!(take["heard"], true);
    }
}

fn text_of(server: &Server, way: &str) -> String {
    let (status, answer) = server.get(way);
    assert_eq!(status, 200, "{way}: {answer}");
    answer["text"].as_str().unwrap().to_owned()
}

#[test]
fn an_instrument_of_ones_own_gets_a_bore_and_then_resonates() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let own = |text: String| text.replacen("trumpet-bflat", "mine", 1);
    let instrument = own(text_of(&server, "/api/instruments/trumpet-bflat"));
    let (status, made) = server.post("/api/instruments", &json!({"text": instrument}));
    assert_eq!((status, &made["bore"]), (201, &json!(false)), "{made}");
    let resonances = "/api/instruments/mine/resonances?slots=false";
    let (status, refused) = server.get(resonances);
    assert_eq!(status, 422);
    assert!(
        refused["detail"].as_str().unwrap().contains("/bore"),
        "{refused}"
    );

    let bore = own(text_of(&server, "/api/instruments/trumpet-bflat/bore"));
    let (status, _) = server.put("/api/instruments/mine/bore", &json!({"text": bore}));
    assert_eq!(status, 200);
    let frequencies = |way: &str| -> Vec<f64> {
        let (_, answer) = server.get(way);
        let list = answer["resonances"].as_array().unwrap().clone();
        list.iter()
            .map(|r| r["frequency_hz"].as_f64().unwrap())
            .collect()
    };
    let usual = frequencies("/api/instruments/trumpet-bflat/resonances?slots=false");
    assert_eq!(frequencies(resonances), usual);
    // What came with the program stays as it is.
    let (status, _) = server.put(
        "/api/instruments/trumpet-bflat/bore",
        &json!({"text": bore}),
    );
    assert_eq!(status, 409);
    let (status, wrong) = server.put("/api/instruments/mine/bore", &json!({"text": "id = 5"}));
    assert_eq!(status, 422, "{wrong}");
}

#[test]
fn a_mouthpiece_of_ones_own_moves_the_resonances() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let deep = text_of(&server, "/api/mouthpieces/trumpet-deep");
    let mine =
        deep.replacen("trumpet-deep", "mine", 1)
            .replacen("cup_cm3 = 1.7", "cup_cm3 = 2.4", 1);
    let (status, made) = server.post("/api/mouthpieces", &json!({"text": mine}));
    assert_eq!((status, &made["own"]), (201, &json!(true)), "{made}");
    assert_eq!(
        server.post("/api/mouthpieces", &json!({"text": mine})).0,
        409
    );
    let third = |mouthpiece: &str| -> f64 {
        let way = format!(
            "/api/instruments/trumpet-bflat/resonances?slots=false&mouthpiece={mouthpiece}"
        );
        let (status, answer) = server.get(&way);
        assert_eq!(status, 200, "{answer}");
        answer["resonances"][7]["frequency_hz"].as_f64().unwrap()
    };
    assert!(
        third("mine") < third("trumpet-deep"),
        "a larger cup lowers the upper resonances"
    );
    let (_, all) = server.get("/api/mouthpieces");
    let known = |all: &Value| all.as_array().unwrap().iter().any(|m| m["id"] == "mine");
    assert!(known(&all));
    let bad = mine.replacen("rim_mm = 16.5", "rim_mm = 0.5", 1);
    let (status, refused) = server.put("/api/mouthpieces/mine", &json!({"text": bad}));
    assert_eq!(status, 422);
    assert!(
        refused["detail"].as_str().unwrap().contains("rim_mm"),
        "{refused}"
    );
}

#[test]
fn the_books_of_a_class_name_what_is_wrong() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let ada = json!({"name": "Ada", "instrument": "trumpet-bflat"});
    let id = server.post("/api/players", &ada).1["id"].clone();
    let (_, days) = server.get("/api/routines");
    let day = &days[0]["id"];
    let bind = |players: Value, pieces: Value| {
        server.post(
            "/api/books",
            &json!({"title": "Tuesday", "players": players, "pieces": pieces}),
        )
    };
    for (players, pieces, status) in [
        (json!([]), json!([day]), 422),
        (json!([id]), json!([]), 422),
        (json!([id]), json!(["no-such-piece"]), 404),
        (json!(["nobody"]), json!([day]), 404),
    ] {
        assert_eq!(bind(players, pieces).0, status);
    }
    // With the engraver a PDF, which is no JSON; without it a plain word.
    let engraver = server.get("/api/health").1["engraver"] == true;
    let (status, _) = bind(json!([id]), json!([day, "long-notes-home"]));
    assert_eq!(status, if engraver { 200 } else { 501 });
}
