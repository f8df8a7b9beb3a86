//! A studio after years of use: every take filled with all that a heard take fills, every page asked for.

use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use serde_json::{Value, json};
use studio::progress::Measure;
use studio::sound::Sound;
use studio::{HeardTake, LessonInput, NewTake, PlayerInput, Store, TakeNoteInput};

use crate::served::Server;
use crate::{EXERCISE, INSTRUMENT, player, sound, spread};

const PLAYERS: u32 = 10;
/// Takes of one player follow each other at half a day.
const HALF_DAY_MS: i64 = 43_200_000;
/// The newest take, Unix milliseconds.
const LAST_MS: i64 = 1_795_608_000_000;
/// The day of the newest take.
const LAST_DAY: &str = "2026-11-25";
/// Every twentieth take has a lesson and two notes by the teacher.
const LESSON_EACH: u32 = 20;
/// How often each page is asked for.
const TIMES: usize = 40;

/// All that one heard take leaves in the store.
struct Model {
    about: NewTake,
    heard: HeardTake,
}

/// Times every way that a page asks.
pub(crate) fn pages(data: &Path, takes: u32) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let model = model(&runtime);
    println!(
        "one heard take: part {} kB, report {} kB, curves {} kB, {} figures",
        model.about.part.as_ref().map_or(0, size_kb),
        size_kb(&model.heard.report),
        size_kb(&model.heard.curves),
        model.heard.measures.len(),
    );
    let start = Instant::now();
    let filled = runtime.block_on(fill(data, model, takes));
    println!(
        "{takes} takes filled in {:.0} s; the database is {} MB",
        start.elapsed().as_secs_f64(),
        std::fs::metadata(data.join(studio::folder::DATABASE)).map_or(0, |file| file.len())
            / 1_000_000,
    );
    let server = Server::start(data);
    for (way, body) in ways(&filled) {
        let mut times: Vec<f64> = (0..TIMES)
            .map(|_| asked(&server, &way, body.as_ref()))
            .collect();
        let way = way.replace(&filled.player, "PLAYER");
        let way = way
            .replace(&filled.take, "TAKE")
            .replace(&filled.other, "OTHER");
        let way = way.replace(&filled.lesson, "LESSON");
        println!("{takes} takes, {way}, ms: {}", spread(&mut times));
    }
}

fn size_kb(value: &Value) -> usize {
    value.to_string().len() / 1000
}

fn asked(server: &Server, way: &str, body: Option<&Value>) -> f64 {
    let start = Instant::now();
    let status = match body {
        None => server.bytes(way, None).0,
        Some(body) => server.post_bytes(way, body).0,
    };
    assert_eq!(status, 200, "{way}");
    start.elapsed().as_secs_f64() * 1e3
}

/// Everything that the pages ask for when they open; with a body where they send one.
fn ways(filled: &Filled) -> Vec<(String, Option<Value>)> {
    let Filled {
        player,
        take,
        other,
        lesson,
    } = filled;
    let source = json!({"exercise": EXERCISE, "player": player});
    let get = |way: &str| (way.to_owned(), None);
    vec![
        get("/api/health"),
        get("/api/session"),
        get("/api/settings"),
        get("/api/players"),
        get("/api/takes?limit=50"),
        get(&format!("/api/takes?limit=50&player={player}")),
        get(&format!(
            "/api/takes?limit=50&player={player}&exercise={EXERCISE}"
        )),
        get(&format!("/api/takes/{take}")),
        get(&format!("/api/takes/{take}/curves?from_s=0&to_s=3")),
        get(&format!("/api/takes/{take}/compare/{other}")),
        get(&format!("/api/takes/{take}/audio")),
        get(&format!("/api/players/{player}/progress")),
        get(&format!("/api/players/{player}/progress?skill=slurs")),
        get(&format!("/api/players/{player}/load?day={LAST_DAY}")),
        get(&format!("/api/players/{player}/advice")),
        get(&format!("/api/lessons?player={player}")),
        get(&format!("/api/lessons/{lesson}")),
        get("/api/instruments"),
        get(&format!("/api/instruments/{INSTRUMENT}")),
        get(&format!("/api/instruments/{INSTRUMENT}/chart")),
        get(&format!(
            "/api/instruments/{INSTRUMENT}/resonances?length=0"
        )),
        get("/api/mouthpieces"),
        get("/api/leadpipes"),
        get("/api/exercises"),
        get(&format!("/api/exercises/{EXERCISE}")),
        get("/api/routines"),
        get("/api/levels"),
        get("/api/advice"),
        ("/api/parts".to_owned(), Some(source)),
    ]
}

/// A take that the program itself sounded, recorded and heard.
fn model(runtime: &tokio::runtime::Runtime) -> Model {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let player = player(&server, "Model");
    let wave = sound(&server, &player);
    let way = format!("/api/takes?instrument={INSTRUMENT}&exercise={EXERCISE}&player={player}");
    let (status, take) = server.send(&way, "audio/wav", &wave);
    assert_eq!(status, 201, "{take}");
    let id = take["id"].as_str().unwrap().to_owned();
    let (_, progress) = server.get(&format!("/api/players/{player}/progress"));
    let measures = progress["series"].as_array().unwrap().iter().map(|series| {
        let point = &series["points"][0];
        Measure {
            skill: series["skill"].as_str().unwrap().to_owned(),
            zone: series["zone"].as_str().unwrap().to_owned(),
            value: point["value"].as_f64().unwrap(),
            sigma: point["sigma"].as_f64().unwrap(),
        }
    });
    let measures = measures.collect();
    drop(server);
    runtime.block_on(async {
        let store = Store::open(place.path()).await.unwrap();
        let model = Model {
            about: NewTake {
                player: None,
                exercise: Some(EXERCISE.into()),
                instrument: INSTRUMENT.into(),
                title: take["title"].as_str().unwrap().to_owned(),
                started_ms: LAST_MS,
                part: store.take_part(&id).await.unwrap(),
                origin: None,
            },
            heard: HeardTake {
                version: "bench".into(),
                summary: take["summary"].clone(),
                report: store.take_report(&id).await.unwrap().unwrap(),
                curves: store.take_curves(&id).await.unwrap().unwrap(),
                measures,
            },
        };
        store.close().await;
        model
    })
}

/// One of each thing that pages are asked about.
struct Filled {
    player: String,
    take: String,
    other: String,
    lesson: String,
}

/// Ten players; their takes half a day apart, their figures wandering from take to take.
async fn fill(data: &Path, model: Model, takes: u32) -> Filled {
    let store = Store::open(data).await.unwrap();
    let model = Arc::new(model);
    // Side by side, so that packing uses all cores.
    let mut filling = Vec::new();
    for number in 0..PLAYERS {
        let about = PlayerInput::named(format!("Player {number}"), INSTRUMENT);
        let player = store.add_player(&about).await.unwrap().id;
        let (store, model) = (store.clone(), Arc::clone(&model));
        filling.push(tokio::spawn(async move {
            fill_one(
                &store,
                &model,
                player,
                (number..takes).step_by(PLAYERS as usize),
            )
            .await
        }));
    }
    let mut filled = Vec::new();
    for one in filling {
        filled.push(one.await.unwrap());
    }
    store.close().await;
    filled.swap_remove(0)
}

/// The takes of one player.
async fn fill_one(
    store: &Store,
    model: &Model,
    player: String,
    numbers: impl Iterator<Item = u32>,
) -> Filled {
    // The sound is short: pages ask for it by stretches, and its length is no part of what they wait for.
    let sound = Sound {
        sample_rate: 44_100,
        channels: 1,
        samples: (0..4410).map(|i| (i as f32 * 0.05).sin() * 0.2).collect(),
    };
    let mut filled = Filled {
        player,
        take: String::new(),
        other: String::new(),
        lesson: String::new(),
    };
    for number in numbers {
        let started_ms = LAST_MS - i64::from(number / PLAYERS) * HALF_DAY_MS;
        let about = NewTake {
            player: Some(filled.player.clone()),
            started_ms,
            ..model.about.clone()
        };
        let take = store.add_take(&about, sound.clone()).await.unwrap();
        let mut heard = model.heard.clone();
        for (n, measure) in (0_u32..).zip(&mut heard.measures) {
            let wander = f64::from((number * 7919 + n * 104_729) % 1000) / 500.0 - 1.0;
            measure.value += 2.0 * wander * measure.sigma;
        }
        store.put_heard(&take.id, heard).await.unwrap();
        if number % LESSON_EACH == 0 {
            filled.lesson = talk(store, &filled.player, &take.id, started_ms).await;
        }
        filled.other = std::mem::replace(&mut filled.take, take.id);
    }
    filled
}

/// A lesson about a take, and two notes in it; gives the lesson.
async fn talk(store: &Store, player: &str, take: &str, at_ms: i64) -> String {
    for at_s in [0.01, 0.05] {
        let note = TakeNoteInput {
            at_s,
            author: "Teacher".into(),
            text: "Listen to the end of this note.".into(),
        };
        store.add_take_note(take, &note).await.unwrap();
    }
    let lesson: LessonInput = serde_json::from_value(json!({
        "player": player, "at_ms": at_ms, "title": "Lesson", "text": "What comes next.",
        "exercises": [EXERCISE], "takes": [take],
    }))
    .unwrap();
    store.add_lesson(&lesson).await.unwrap().id
}
