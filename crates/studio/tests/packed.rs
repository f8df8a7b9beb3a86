//! Parts, reports and curves are kept packed; what older programs kept plain reads as ever, and
//! what is damaged is told by name.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use std::io::Write;
use std::path::Path;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use serde_json::{Value, json};
use sqlx::SqlitePool;
use studio::progress::Measure;
use studio::sound::Sound;
use studio::{Error, HeardTake, NewTake, Store};

const TABLES: [&str; 3] = ["take_part", "report", "take_curves"];

/// A studio with one heard take, and a way to its database past the program.
async fn studio(place: &Path) -> (Store, String, SqlitePool) {
    let store = Store::open_as_keeper(place).await.unwrap();
    let about = NewTake {
        player: None,
        exercise: None,
        instrument: "trumpet-bflat".into(),
        title: "Tuesday".into(),
        started_ms: 1,
        part: Some(part()),
        origin: None,
    };
    let sound = Sound {
        sample_rate: 8000,
        channels: 1,
        samples: vec![0.1; 800],
    };
    let take = store.add_take(&about, sound).await.unwrap().id;
    store.put_heard(&take, heard()).await.unwrap();
    let address = format!("sqlite://{}", store.folder().database().display());
    (store, take, SqlitePool::connect(&address).await.unwrap())
}

fn part() -> Value {
    json!({"title": "Fünf Töne 🎺", "lines": vec![json!({"midi": 58, "beats": 0.5}); 200]})
}

fn heard() -> HeardTake {
    HeardTake {
        version: "test".into(),
        summary: json!({"playing_s": 0.1}),
        report: json!({"notes": vec![json!({"cents": -3.25, "why": null}); 300]}),
        curves: json!({"at_s": (0..1000).map(|i| f64::from(i) / 100.0).collect::<Vec<_>>()}),
        measures: vec![Measure {
            skill: "centring".into(),
            zone: "all".into(),
            value: 4.0,
            sigma: 0.5,
        }],
    }
}

async fn column(database: &SqlitePool, table: &'static str) -> (Vec<u8>, String) {
    let query = format!("select json, typeof(json) from {table}");
    sqlx::query_as(sqlx::AssertSqlSafe(query))
        .fetch_one(database)
        .await
        .unwrap()
}

async fn set<'q, T>(database: &SqlitePool, table: &'static str, json: T)
where
    T: 'q + sqlx::Encode<'q, sqlx::Sqlite> + sqlx::Type<sqlx::Sqlite> + Send,
{
    let query = format!("update {table} set json = $1");
    sqlx::query(sqlx::AssertSqlSafe(query))
        .bind(json)
        .execute(database)
        .await
        .unwrap();
}

async fn reads(store: &Store, take: &str) -> [Value; 3] {
    [
        store.take_part(take).await.unwrap().unwrap(),
        store.take_report(take).await.unwrap().unwrap(),
        store.take_curves(take).await.unwrap().unwrap(),
    ]
}

fn asked() -> [Value; 3] {
    [part(), heard().report, heard().curves]
}

fn packed(json: &[u8]) -> Vec<u8> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
    packer.write_all(json).unwrap();
    packer.finish().unwrap()
}

#[tokio::test]
async fn what_is_kept_comes_back_the_same_and_takes_a_tenth_of_the_room() {
    let place = tempfile::tempdir().unwrap();
    let (store, take, database) = studio(place.path()).await;
    assert_eq!(reads(&store, &take).await, asked());
    for (table, value) in TABLES.into_iter().zip(asked()) {
        let (bytes, kind) = column(&database, table).await;
        assert_eq!(kind, "blob", "{table}");
        let plain = value.to_string().len();
        let most = if table == "take_curves" {
            plain / 2
        } else {
            plain / 10
        };
        assert!(bytes.len() < most, "{table}: {} of {plain}", bytes.len());
    }
    assert_eq!(store.examine(false).await.unwrap().problems, []);
}

#[tokio::test]
async fn what_an_older_program_kept_plain_reads_and_is_packed_by_the_repair() {
    let place = tempfile::tempdir().unwrap();
    let (store, take, database) = studio(place.path()).await;
    for (table, value) in TABLES.into_iter().zip(asked()) {
        set(&database, table, value.to_string()).await;
        assert_eq!(column(&database, table).await.1, "text");
    }
    assert_eq!(reads(&store, &take).await, asked());
    assert_eq!(
        store.examine(false).await.unwrap().problems,
        [],
        "plain is not wrong"
    );
    let mended = store.examine(true).await.unwrap().problems;
    assert_eq!(mended.len(), 1, "{mended:?}");
    assert!(mended[0].mended && mended[0].what.ends_with("plain: 3"));
    for table in TABLES {
        assert_eq!(column(&database, table).await.1, "blob");
    }
    assert_eq!(reads(&store, &take).await, asked());
    assert_eq!(store.examine(true).await.unwrap().problems, []);
}

#[tokio::test]
async fn what_is_damaged_is_told_with_its_take_and_heard_again_after_the_repair() {
    let place = tempfile::tempdir().unwrap();
    let (store, take, database) = studio(place.path()).await;
    let whole = column(&database, "report").await.0;
    let bomb = packed(&vec![b' '; 129 << 20]);
    for damage in [
        &whole[..whole.len() / 2],
        &[],
        b"{}",
        &packed(b"{\"a\":"),
        &bomb,
    ] {
        set(&database, "report", damage).await;
        let error = store.take_report(&take).await.unwrap_err();
        assert!(matches!(error, Error::Damaged { .. }), "{error}");
        assert!(error.to_string().contains(&take), "{error}");
        assert!(error.to_string().contains("the report"), "{error}");
    }
    // Plain text can be damaged too.
    set(&database, "report", "{\"a\":").await;
    let error = store.take_report(&take).await.unwrap_err();
    assert!(matches!(error, Error::Damaged { .. }), "{error}");

    let told = store.examine(false).await.unwrap().problems;
    assert_eq!((told.len(), told[0].mended), (1, false), "{told:?}");
    assert_eq!(told[0].place, take);
    assert!(store.examine(true).await.unwrap().problems[0].mended);
    assert_eq!(store.examine(false).await.unwrap().problems, []);
    assert!(!store.take(&take).await.unwrap().heard);
    store.put_heard(&take, heard()).await.unwrap();
    assert_eq!(reads(&store, &take).await, asked());
}

#[tokio::test]
async fn a_take_whose_part_is_damaged_becomes_free_playing() {
    let place = tempfile::tempdir().unwrap();
    let (store, take, database) = studio(place.path()).await;
    set(&database, "take_part", b"x\x9c nothing".as_slice()).await;
    assert!(matches!(
        store.take_part(&take).await,
        Err(Error::Damaged { .. })
    ));
    assert!(store.examine(true).await.unwrap().problems[0].mended);
    assert_eq!(store.take_part(&take).await.unwrap(), None);
    assert!(store.take(&take).await.unwrap().heard, "the report stays");
}
