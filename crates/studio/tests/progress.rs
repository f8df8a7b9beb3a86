//! Progress out of the store: days become points, and a long history stays small.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests

use studio::progress::{Judgement, Measure};
use studio::sound::Sound;
use studio::{Error, HeardTake, NewTake, PlayerInput, ProgressFilter, Store};

const DAY_MS: i64 = 86_400_000;
/// Some midnight UTC.
const MIDNIGHT: i64 = 20_000 * DAY_MS;

/// A studio with one player and a take for each (moment, figure).
async fn studio(takes: &[(i64, f64)]) -> (tempfile::TempDir, Store, String) {
    let place = tempfile::tempdir().unwrap();
    let store = Store::open_as_keeper(place.path()).await.unwrap();
    let about = PlayerInput::named("Ada", "trumpet-bflat");
    let player = store.add_player(&about).await.unwrap().id;
    for (started_ms, value) in takes {
        let about = NewTake {
            player: Some(player.clone()),
            exercise: None,
            instrument: "trumpet-bflat".into(),
            title: String::new(),
            started_ms: *started_ms,
            part: None,
            origin: None,
        };
        let sound = Sound {
            sample_rate: 8000,
            channels: 1,
            samples: vec![0.1; 80],
        };
        let take = store.add_take(&about, sound).await.unwrap();
        let measures = [
            ("centring", "all"),
            ("centring", "low"),
            ("evenness", "all"),
        ];
        let heard = HeardTake {
            version: "test".into(),
            summary: serde_json::json!({}),
            report: serde_json::json!({}),
            curves: serde_json::json!({}),
            measures: measures
                .map(|(skill, zone)| Measure {
                    skill: skill.into(),
                    zone: zone.into(),
                    value: *value,
                    sigma: 0.6,
                })
                .to_vec(),
        };
        store.put_heard(&take.id, heard).await.unwrap();
    }
    (place, store, player)
}

fn only(skill: &str, zone: &str) -> ProgressFilter {
    ProgressFilter {
        skill: Some(skill.into()),
        zone: Some(zone.into()),
        ..ProgressFilter::default()
    }
}

#[tokio::test]
async fn takes_of_one_day_are_one_point() {
    let hour = DAY_MS / 24;
    let day = |n: i64, hours: i64| MIDNIGHT + n * DAY_MS + hours * hour;
    let takes = [(day(0, 9), 4.0), (day(0, 21), 8.0), (day(1, 10), 5.0)];
    let (_place, store, player) = studio(&takes).await;
    let series = store
        .progress(&player, &only("centring", "all"))
        .await
        .unwrap();
    let [one] = series.as_slice() else {
        panic!("{series:?}")
    };
    assert_eq!((one.verdict, one.by_register), (Judgement::TooFew, true));
    let [first, second] = one.points.as_slice() else {
        panic!("{:?}", one.points)
    };
    // The two scatter by 2 about their mean, more than each is unsure by (0.6): 2 / sqrt 2.
    assert_eq!(
        (first.at_ms, first.value, first.takes),
        (day(0, 15), 6.0, 2)
    );
    assert!((first.sigma - 2.0 / 2.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(
        (second.at_ms, second.value, second.takes),
        (day(1, 10), 5.0, 1)
    );
    assert!((second.sigma - 0.6).abs() < 1e-9);
}

#[tokio::test]
async fn a_skill_or_a_zone_can_be_asked_for_alone() {
    let (_place, store, player) = studio(&[(MIDNIGHT, 4.0)]).await;
    let named = async |filter: &ProgressFilter| {
        let series = store.progress(&player, filter).await.unwrap();
        let names = series
            .iter()
            .map(|one| format!("{}/{}", one.skill, one.zone));
        names.collect::<Vec<_>>().join(" ")
    };
    let everything = ProgressFilter::default();
    assert_eq!(
        named(&everything).await,
        "centring/all centring/low evenness/all"
    );
    let zone = ProgressFilter {
        zone: Some("all".into()),
        ..ProgressFilter::default()
    };
    assert_eq!(named(&zone).await, "centring/all evenness/all");
    assert_eq!(named(&only("centring", "low")).await, "centring/low");
    for (bad, field) in [
        (only("charm", "all"), "skill"),
        (only("tone", "top"), "zone"),
    ] {
        let error = store.progress(&player, &bad).await.unwrap_err();
        assert!(
            matches!(&error, Error::Invalid { what, .. } if what == field),
            "{error}"
        );
    }
}

#[tokio::test]
async fn a_long_history_is_drawn_in_spans_of_days() {
    let takes: Vec<_> = (0..100).map(|n| (MIDNIGHT + 3 * n * DAY_MS, 5.0)).collect();
    let (_place, store, player) = studio(&takes).await;
    let series = store
        .progress(&player, &only("centring", "all"))
        .await
        .unwrap();
    let points = &series[0].points;
    assert!(points.len() <= 90, "{} points", points.len());
    assert_eq!(points.iter().map(|point| point.takes).sum::<u32>(), 100);
    assert!(points.is_sorted_by_key(|point| point.at_ms));
    assert_eq!(series[0].verdict, Judgement::NoClearChange);
}
