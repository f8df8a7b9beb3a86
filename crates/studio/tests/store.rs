//! The store from outside: what is put in comes out, what is removed comes back, what is damaged
//! is told.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use std::path::Path;
use std::time::{Duration, SystemTime};

use studio::progress::Measure;
use studio::sound::Sound;
use studio::sound::journal::Format;
use studio::{
    Accepted, Error, HeardTake, LessonInput, NewTake, Origin, PlayerInput, ProgressFilter,
    Settings, Store, TakeFilter, TakeNoteInput, TextKind,
};

async fn keeper(place: &Path) -> Store {
    Store::open_as_keeper(place).await.unwrap()
}

fn new_take(player: Option<&str>, started_ms: i64) -> NewTake {
    NewTake {
        player: player.map(str::to_owned),
        exercise: Some("long-notes".into()),
        instrument: "trumpet-bflat".into(),
        title: "Tuesday".into(),
        started_ms,
        part: Some(serde_json::json!({"title": "a part"})),
        origin: Some(Origin {
            container: "ogg".into(),
            coding: "vorbis".into(),
            sample_rate: 48_000,
            channels: 2,
            weights: vec![0.5, -0.5],
        }),
    }
}

fn sound(seed: u32) -> Sound {
    let wave = |i: u32| ((i * (seed + 3)) as f32 * 0.01).sin() * 0.4;
    Sound {
        sample_rate: 44_100,
        channels: 1,
        samples: (0..5000).map(wave).collect(),
    }
}

fn heard(value: f64) -> HeardTake {
    HeardTake {
        version: "test".into(),
        summary: serde_json::json!({"playing_s": 0.1, "load": 2.0}),
        report: serde_json::json!({"shape": 1}),
        curves: serde_json::json!({"at_s": [0.0]}),
        measures: vec![Measure {
            skill: "centring".into(),
            zone: "all".into(),
            value,
            sigma: 0.5,
        }],
    }
}

#[tokio::test]
async fn everything_goes_out_as_an_archive_and_comes_in_again_the_same() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let store = keeper(here.path()).await;
    let about = PlayerInput::named("Ada", "trumpet-bflat");
    let player = store.add_player(&about).await.unwrap();
    let take = store
        .add_take(&new_take(Some(&player.id), 1_700_000_000_000), sound(1))
        .await
        .unwrap();
    store.put_heard(&take.id, heard(7.0)).await.unwrap();
    let note = TakeNoteInput {
        at_s: 0.05,
        author: "T".into(),
        text: "well centred".into(),
    };
    store.add_take_note(&take.id, &note).await.unwrap();
    let lesson = LessonInput {
        player: player.id.clone(),
        at_ms: 1_700_000_000_000,
        title: "First".into(),
        text: "Breathe.".into(),
        exercises: vec!["long-notes".into()],
        takes: vec![take.id.clone()],
    };
    store.add_lesson(&lesson).await.unwrap();
    store
        .put_text(TextKind::Exercise, "my-own", "version = 1\n")
        .await
        .unwrap();
    let settings = Settings {
        a4: 442.0,
        ..Settings::default()
    };
    store.set_settings(&settings).await.unwrap();
    let archive = here.path().join("all.zip");
    let out = store.export_archive(&archive).await.unwrap();

    let other = keeper(there.path()).await;
    let counts = other.import_archive(&archive).await.unwrap();
    assert_eq!(counts, out);
    assert_eq!((counts.players, counts.takes, counts.texts), (1, 1, 1));
    let kept = other.take(&take.id).await.unwrap();
    let first = store.take(&take.id).await.unwrap();
    assert_eq!((kept.sha256, kept.summary), (first.sha256, first.summary));
    assert_eq!(
        other.take_report(&take.id).await.unwrap().unwrap()["shape"],
        1
    );
    assert_eq!(
        other.take_part(&take.id).await.unwrap().unwrap()["title"],
        "a part"
    );
    assert_eq!(other.take_notes(&take.id).await.unwrap().len(), 1);
    assert_eq!(other.lessons(None).await.unwrap()[0].about, lesson);
    assert_eq!(other.settings().await.unwrap(), settings);
    let everything = ProgressFilter::default();
    let progress = other.progress(&player.id, &everything).await.unwrap();
    assert_eq!(progress[0].level, 7.0);
    assert_eq!(other.examine(false).await.unwrap().problems, []);
    // Once more changes nothing.
    other.import_archive(&archive).await.unwrap();
    assert_eq!(other.take_count().await.unwrap(), 1);
}

#[tokio::test]
async fn an_archive_that_is_none_is_refused_by_name() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let path = place.path().join("x.zip");
    std::fs::write(&path, b"this is no archive").unwrap();
    let error = store.import_archive(&path).await.unwrap_err();
    assert!(matches!(error, Error::Invalid { .. }), "{error}");
}

#[tokio::test]
async fn the_doctor_tells_damage_and_adopts_strays() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let take = store.add_take(&new_take(None, 1), sound(1)).await.unwrap();
    let stray = store.add_take(&new_take(None, 2), sound(2)).await.unwrap();
    let (_, path) = store.take_sound(&take.id).await.unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[200] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    // A sound whose row is lost: the same file under a second studio that never heard of it.
    let second = tempfile::tempdir().unwrap();
    let other = keeper(second.path()).await;
    let (_, from) = store.take_sound(&stray.id).await.unwrap();
    let to = other.folder().sound(&stray.sha256).unwrap();
    std::fs::create_dir_all(to.parent().unwrap()).unwrap();
    std::fs::copy(from, to).unwrap();

    let verdict = store.examine(false).await.unwrap();
    assert_eq!(verdict.takes, 2);
    assert_eq!(verdict.problems.len(), 1);
    assert!(verdict.problems[0].what.contains("damaged"));
    store.examine(true).await.unwrap();
    assert!(matches!(
        store.take_sound(&take.id).await,
        Err(Error::Damaged { .. })
    ));

    assert!(!other.examine(false).await.unwrap().problems[0].mended);
    assert!(other.examine(true).await.unwrap().problems[0].mended);
    let page = other.takes(&TakeFilter::default()).await.unwrap();
    assert_eq!(
        (page.total, page.takes[0].sha256.as_str()),
        (1, stray.sha256.as_str())
    );
    assert!((page.takes[0].seconds - stray.seconds).abs() < 1e-9);
    assert_eq!(other.examine(false).await.unwrap().problems, []);
}

#[tokio::test]
async fn pages_of_takes_hold_each_take_once() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    for i in 0..23 {
        // Some begin in the same millisecond.
        store
            .add_take(&new_take(None, 1000 + i / 3), sound(i as u32))
            .await
            .unwrap();
    }
    let mut filter = TakeFilter {
        limit: Some(5),
        ..TakeFilter::default()
    };
    let mut seen = Vec::new();
    loop {
        let page = store.takes(&filter).await.unwrap();
        assert_eq!(page.total, 23);
        seen.extend(page.takes.into_iter().map(|take| take.id));
        match page.next {
            Some(next) => filter.before = Some(next),
            None => break,
        }
    }
    assert_eq!(seen.len(), 23);
    seen.sort();
    seen.dedup();
    assert_eq!(seen.len(), 23);
    filter.before = Some("nonsense".into());
    assert!(matches!(
        store.takes(&filter).await,
        Err(Error::Invalid { .. })
    ));
}

#[tokio::test]
async fn a_backup_brings_back_what_was_removed_since() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let take = store.add_take(&new_take(None, 1), sound(1)).await.unwrap();
    let backup = store.back_up().await.unwrap();
    store.remove_take(&take.id).await.unwrap();
    let in_use = Store::restore_backup(place.path(), &backup.name).await;
    assert!(matches!(in_use, Err(Error::InUse { .. })));
    store.close().await;
    drop(store);
    Store::restore_backup(place.path(), &backup.name)
        .await
        .unwrap();
    let store = keeper(place.path()).await;
    assert_eq!(store.take(&take.id).await.unwrap(), take);
    assert_eq!(
        store.backups().unwrap().len(),
        2,
        "what was there is kept too"
    );
    assert!(Store::restore_backup(place.path(), "../x").await.is_err());
}

#[tokio::test]
async fn holes_in_a_recording_become_silence_and_are_told() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let mut recording = store
        .begin_recording(new_take(None, 1), 8000, Format::I16)
        .await
        .unwrap();
    let block = |value: i16| value.to_le_bytes().repeat(800);
    assert!(matches!(
        recording.accept(0, 0, &block(5)),
        Ok(Accepted::Taken { gap: None })
    ));
    assert_eq!(
        recording.accept(0, 0, &block(5)).unwrap(),
        Accepted::Duplicate
    );
    assert_eq!(
        recording.accept(2, 1600, &block(6)).unwrap(),
        Accepted::Early { expected: 1 }
    );
    // The source lost 400 samples.
    let Accepted::Taken { gap: Some(gap) } = recording.accept(1, 1200, &block(6)).unwrap() else {
        panic!("a gap must be told");
    };
    assert_eq!(
        (gap.at_s, gap.seconds, gap.why.as_str()),
        (0.1, 0.05, "source")
    );
    // A counter that jumps back or far ahead is refused, and the recording goes on.
    assert!(recording.accept(2, 100, &block(7)).is_err());
    assert!(recording.accept(2, u64::MAX, &block(7)).is_err());
    assert!(recording.accept(2, 2000, &[1]).is_err());
    // The page lost blocks 2 and 3.
    assert_eq!(recording.skip(4, 3600).unwrap().unwrap().why, "skipped");
    recording.accept(4, 3600, &block(8)).unwrap();
    // The connection is lost, and the page comes back.
    let id = recording.head().take.clone();
    store.leave_recording(&recording);
    drop(recording);
    let mut recording = store.resume_recording(&id).await.unwrap();
    assert_eq!((recording.next_seq(), recording.next_sample()), (5, 4400));
    assert!(matches!(
        store.resume_recording(&id).await,
        Err(Error::Conflict(_))
    ));
    recording.accept(5, 4400, &block(9)).unwrap();
    let take = store.finish_recording(recording).await.unwrap();
    assert_eq!(
        (take.seconds, take.gaps.len(), take.recovered),
        (0.65, 2, false)
    );
    let (_, path) = store.take_sound(&take.id).await.unwrap();
    let mut reader = claxon::FlacReader::open(path).unwrap();
    let samples: Vec<i32> = reader.samples().map(Result::unwrap).collect();
    let runs = [(5, 800), (0, 400), (6, 800), (0, 1600), (8, 800), (9, 800)];
    let asked: Vec<i32> = runs
        .into_iter()
        .flat_map(|(value, count)| std::iter::repeat_n(value, count))
        .collect();
    assert_eq!(samples, asked);
    assert!(matches!(
        store.resume_recording(&id).await,
        Err(Error::NotFound { .. })
    ));
}

#[tokio::test]
async fn blocks_that_come_together_are_one_write_and_read_as_if_they_had_come_singly() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let begin = || store.begin_recording(new_take(None, 1), 8000, Format::I16);
    let (mut singly, mut together) = (begin().await.unwrap(), begin().await.unwrap());
    let size = |recording: &studio::Recording| recording.handle().metadata().unwrap().len();
    let head = size(&together);
    assert_eq!(head, size(&singly));
    let block = |value: i16| value.to_le_bytes().repeat(100);
    // The third block comes after a hole.
    let places = [(0, 0), (1, 100), (2, 250), (3, 350)];
    for (seq, first) in places {
        let data = block(seq as i16 + 1);
        let one = singly.accept(seq, first, &data).unwrap();
        assert_eq!(together.gather(seq, first, &data).unwrap(), one);
        assert_eq!(size(&together), head, "nothing is written yet");
    }
    assert_eq!(
        together.gather(1, 100, &block(2)).unwrap(),
        Accepted::Duplicate
    );
    together.write().unwrap();
    assert_eq!(size(&together), size(&singly));
    together.write().unwrap();
    assert_eq!(size(&together), size(&singly), "nothing is written twice");
    let [one, all] = [singly, together].map(|recording| store.finish_recording(recording));
    let (one, all) = (one.await.unwrap(), all.await.unwrap());
    assert_eq!((one.sha256, one.gaps), (all.sha256, all.gaps));
}

#[tokio::test]
async fn a_recovered_recording_can_still_be_gone_on_with() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let mut recording = store
        .begin_recording(new_take(None, 1), 8000, Format::I16)
        .await
        .unwrap();
    recording.accept(0, 0, &[1, 0].repeat(800)).unwrap();
    let id = recording.head().take.clone();
    store.leave_recording(&recording);
    let found = store.recover().await.unwrap();
    assert_eq!(found[0].take.as_ref().unwrap().seconds, 0.1);
    let mut recording = store.resume_recording(&id).await.unwrap();
    recording.accept(1, 800, &[2, 0].repeat(800)).unwrap();
    let take = store.finish_recording(recording).await.unwrap();
    assert_eq!((take.id, take.seconds, take.recovered), (id, 0.2, false));
    assert_eq!(store.take_count().await.unwrap(), 1);
    assert_eq!(
        store.examine(false).await.unwrap().problems,
        [],
        "the shorter sound is gone"
    );
}

#[tokio::test]
async fn a_clock_that_jumps_loses_nothing_of_a_recording() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let mut recording = store
        .begin_recording(new_take(None, 1), 8000, Format::I16)
        .await
        .unwrap();
    recording.accept(0, 0, &[1, 0].repeat(800)).unwrap();
    let id = recording.head().take.clone();
    store.leave_recording(&recording);
    store.recover().await.unwrap();
    // The page goes on with it, and the program is killed once more. By the clock, which went
    // back meanwhile, the journal is older than the take that was made of its beginning.
    let mut recording = store.resume_recording(&id).await.unwrap();
    recording.accept(1, 800, &[2, 0].repeat(800)).unwrap();
    let journal = store
        .folder()
        .root()
        .join(studio::folder::JOURNALS)
        .join(format!("{id}.pcm"));
    store.leave_recording(&recording);
    drop(recording);
    let back = SystemTime::now() - Duration::from_secs(86_400);
    let file = std::fs::File::options().write(true).open(&journal);
    file.unwrap().set_modified(back).unwrap();
    store.recover().await.unwrap();
    assert_eq!(store.take(&id).await.unwrap().seconds, 0.2);
}

#[tokio::test]
async fn a_visitor_reads_and_writes_beside_the_keeper_but_records_nothing() {
    let place = tempfile::tempdir().unwrap();
    let keeper = keeper(place.path()).await;
    assert!(matches!(
        Store::open_as_keeper(place.path()).await,
        Err(Error::InUse { .. })
    ));
    let visitor = Store::open(place.path()).await.unwrap();
    let about = PlayerInput::named("Ada", "trumpet-bflat");
    let (a, b) = tokio::join!(
        async {
            for _ in 0..50 {
                keeper.add_player(&about).await.unwrap();
            }
        },
        async {
            for _ in 0..50 {
                visitor.add_player(&about).await.unwrap();
            }
        }
    );
    assert_eq!((a, b), ((), ()));
    assert_eq!(visitor.players(false).await.unwrap().len(), 100);
    assert!(matches!(
        visitor
            .begin_recording(new_take(None, 1), 8000, Format::I16)
            .await,
        Err(Error::InUse { .. })
    ));
    assert!(matches!(visitor.recover().await, Err(Error::InUse { .. })));
}

#[tokio::test]
async fn what_cannot_be_is_refused_by_field() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let good = PlayerInput::named("Ada", "trumpet-bflat");
    let bad = [
        PlayerInput::named(" ", "trumpet-bflat"),
        PlayerInput::named("x".repeat(201), "trumpet-bflat"),
        PlayerInput::named("Ada", "../../etc"),
        PlayerInput {
            minutes_a_day: 0,
            ..good.clone()
        },
        PlayerInput {
            load_a_day: Some(f64::NAN),
            ..good.clone()
        },
        PlayerInput {
            floor: "C5".parse().ok(),
            roof: "C4".parse().ok(),
            ..good.clone()
        },
    ];
    for about in bad {
        assert!(matches!(
            store.add_player(&about).await,
            Err(Error::Invalid { .. })
        ));
    }
    assert!(matches!(
        store.player("nobody").await,
        Err(Error::NotFound { .. })
    ));
    assert!(
        store
            .put_text(TextKind::Exercise, "Not An Id", "x")
            .await
            .is_err()
    );
    let settings = Settings {
        a4: 300.0,
        ..Settings::default()
    };
    assert!(store.set_settings(&settings).await.is_err());
}

#[tokio::test]
async fn a_locked_database_is_busy_and_whole_again_afterwards() {
    let place = tempfile::tempdir().unwrap();
    let store = keeper(place.path()).await;
    let address = format!("sqlite://{}", store.folder().database().display());
    let other = sqlx::SqlitePool::connect(&address).await.unwrap();
    let lock = other.begin_with("begin exclusive").await.unwrap();
    let about = PlayerInput::named("Ada", "trumpet-bflat");
    let refused = store.add_player(&about).await;
    assert!(matches!(refused, Err(Error::Busy)), "{refused:?}");
    // A write-ahead log lets others read meanwhile.
    assert!(store.players(false).await.unwrap().is_empty());
    drop(lock);
    other.close().await;
    store.add_player(&about).await.unwrap();
}
