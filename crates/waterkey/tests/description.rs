//! The description that the page's types are made from is the one that the server gives.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

mod served;

use served::Server;

/// Set to anything, the kept description is written anew instead of compared.
const RENEW: &str = "WATERKEY_RENEW";

#[test]
fn the_kept_description_is_what_the_server_says_of_itself() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../ui/openapi.json");
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let (status, now) = server.get("/api/openapi.json");
    assert_eq!(status, 200);
    if std::env::var_os(RENEW).is_some() {
        let text = serde_json::to_string_pretty(&now).unwrap();
        std::fs::write(path, text + "\n").unwrap();
        return;
    }
    let kept: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let ways = |description: &serde_json::Value| -> Vec<String> {
        let paths = description["paths"].as_object().unwrap();
        paths.keys().cloned().collect()
    };
    assert_eq!(
        ways(&kept),
        ways(&now),
        "other ways than in ui/openapi.json"
    );
    assert!(
        kept == now,
        "ui/openapi.json is stale: run this test once with {RENEW}=1, then `npm run types` in ui/"
    );
}

#[test]
fn every_operation_has_an_id_of_its_own_and_every_refusal_says_why() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let (_, description) = server.get("/api/openapi.json");
    let mut ids = std::collections::BTreeMap::new();
    for (way, methods) in description["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let here = format!("{method} {way}");
            let id = operation["operationId"].as_str().expect(&here).to_owned();
            if let Some(other) = ids.insert(id.clone(), here.clone()) {
                panic!("`{id}` is {other} and {here}");
            }
            for (status, answer) in operation["responses"].as_object().unwrap() {
                if status.starts_with(['4', '5']) {
                    assert_ne!(answer["description"], "", "{here}: {status}");
                }
            }
        }
    }
    assert!(ids.len() > 80, "{} operations", ids.len());
}
