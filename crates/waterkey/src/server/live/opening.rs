//! What a recording begins with: what it is of, and the ear behind it.

use routine::Part;
use studio::{NewTake, Recording};
use tone::{Hertz, Tuning};

use super::listener::Listener;
use super::message::Start;
use crate::server::hearing;
use crate::server::problem::Answer;
use crate::server::routes::{self, Asked};
use crate::server::state::App;

/// Begins the recording that a page asks for.
pub(super) async fn begin(app: &App, start: Start) -> Answer<Recording> {
    let format = start.format.parse()?;
    let instrument = routes::find_instrument(app, &start.instrument).await?;
    let asked = Asked {
        player: start.player.clone(),
        instrument: start.instrument,
        exercise: start.exercise.clone(),
        text: start.text,
        level: start.level,
        seed: start.seed,
    };
    let part = routes::part_to_play(app, asked).await?;
    let title = start
        .title
        .or_else(|| part.as_ref().map(|part| part.title.clone()));
    let about = NewTake {
        player: start.player,
        exercise: start.exercise,
        title: title.unwrap_or_default(),
        instrument: instrument.id,
        started_ms: routes::now_ms(),
        part: part.map(|part| routes::json(&part)).transpose()?,
        origin: None,
    };
    let begun = app
        .store
        .begin_recording(about, start.sample_rate, format)
        .await?;
    Ok(begun)
}

/// The ear for a recording, if there is a place for one more.
pub(super) async fn listener(app: &App, recording: &Recording) -> Option<Box<Listener>> {
    let place = app.listeners.clone().try_acquire_owned().ok()?;
    let head = recording.head();
    let part: Option<Part> = head
        .about
        .part
        .clone()
        .and_then(|part| serde_json::from_value(part).ok());
    let instrument = routes::find_instrument(app, &head.about.instrument)
        .await
        .ok()?;
    let settings = app.store.settings().await.unwrap_or_default();
    let tuning = Tuning {
        a4: Hertz(settings.a4),
        ..Tuning::default()
    };
    let asked = part.as_ref().map(|part| {
        let chart = horn::ideal::chart(&instrument, &tuning);
        let expected = ear::expected::from_part(part, &instrument, &chart, &tuning);
        (part, expected)
    });
    let lowest_hz = match &asked {
        Some((_, expected)) => expected.lowest_hz(),
        None => instrument
            .standard_range()
            .map(|keys| tuning.equal(*keys.start()).0),
    };
    let calibration = hearing::calibration(&settings);
    let lowest_hz = lowest_hz.unwrap_or(0.0);
    let listener = Listener::new(head.sample_rate, lowest_hz, asked, calibration, place);
    Some(Box::new(listener))
}
