//! Takes: listed, sent in, changed, removed.

use axum::Json;
use axum::body::Body as Bytes;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::{NewTake, Take, TakeFilter, TakeNote, TakePage};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::passing::spool;
use crate::server::extract::{Body, Path, Query};
use crate::server::hearing;
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

/// Largest file that is taken in.
const MOST_SOUND: usize = 512 << 20;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(takes))
        .routes(routes!(take, change_take, remove_take))
        .routes(routes!(restore_take))
        .merge(
            OpenApiRouter::new()
                .routes(routes!(send_take))
                .layer(DefaultBodyLimit::max(MOST_SOUND)),
        )
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Filter {
    /// This player's alone.
    player: Option<String>,
    /// Of this exercise alone.
    exercise: Option<String>,
    /// On this instrument alone.
    instrument: Option<String>,
    /// Those that were removed and can be restored.
    #[serde(default)]
    deleted: bool,
    /// How many at most.
    #[param(minimum = 1, maximum = 500)]
    limit: Option<u32>,
    /// Go on after a page: its `next`.
    before: Option<String>,
}

/// Takes, the latest first, by pages.
#[utoipa::path(get, path = "/api/takes", params(Filter), responses(
    (status = 200, body = TakePage),
    Refuses<400>, Refuses<422>,
))]
async fn takes(State(app): State<App>, Query(filter): Query<Filter>) -> Answer<Json<TakePage>> {
    let filter = TakeFilter {
        player: filter.player,
        exercise: filter.exercise,
        instrument: filter.instrument,
        deleted: filter.deleted,
        limit: filter.limit,
        before: filter.before,
    };
    Ok(Json(app.store.takes(&filter).await?))
}

/// A take with all that is known of it.
#[derive(Serialize, ToSchema)]
struct TakeSheet {
    take: Take,
    /// The part that was to be played.
    #[schema(value_type = Option<Object>)]
    part: Option<Value>,
    /// What was heard.
    #[schema(value_type = Option<Object>)]
    report: Option<Value>,
    /// Notes at places in it.
    notes: Vec<TakeNote>,
}

/// One take with its part, its report and the notes in it.
#[utoipa::path(get, path = "/api/takes/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = TakeSheet),
    Refuses<404>,
))]
async fn take(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<TakeSheet>> {
    Ok(Json(TakeSheet {
        take: app.store.take(&id).await?,
        part: app.store.take_part(&id).await?,
        report: app.store.take_report(&id).await?,
        notes: app.store.take_notes(&id).await?,
    }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct About {
    /// Whose take.
    player: Option<String>,
    /// Of which exercise.
    exercise: Option<String>,
    /// On which instrument.
    instrument: String,
    /// Title.
    #[serde(default)]
    title: String,
    /// When it began, Unix milliseconds; now when absent.
    started_ms: Option<i64>,
}

/// Sends in a sound file as a take: WAV, FLAC, MP3, OGG Vorbis, AAC or AIFF.
///
/// It is kept as FLAC at its own rate, 96 kHz at most (the encoder's limit); several channels
/// become one by the rule that `origin.weights` tells.
#[utoipa::path(post, path = "/api/takes", params(About),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"), responses(
    (status = 201, body = Take),
    Refuses<400>, Refuses<404>, Refuses<413>, Refuses<422>, Refuses<507>,
))]
async fn send_take(
    State(app): State<App>,
    Query(about): Query<About>,
    body: Bytes,
) -> Answer<(StatusCode, Json<Take>)> {
    super::instruments::find(&app, &about.instrument).await?;
    let asked = super::parts::Asked {
        player: about.player.clone(),
        instrument: about.instrument.clone(),
        exercise: about.exercise.clone(),
        ..super::parts::Asked::default()
    };
    let part = super::parts::part_to_play(&app, asked).await?;
    let passing = spool(&app, body, MOST_SOUND).await?;
    let path = passing.0.clone();
    let sent = app.heavy(move || hearing::decode(&path)).await??;
    drop(passing);
    let title = match &part {
        Some(part) if about.title.is_empty() => part.title.clone(),
        _ => about.title,
    };
    let new = NewTake {
        player: about.player,
        exercise: about.exercise,
        instrument: about.instrument,
        title,
        started_ms: about.started_ms.unwrap_or_else(super::now_ms),
        part: part.map(|part| super::json(&part)).transpose()?,
        origin: Some(sent.origin),
    };
    let take = app.store.add_take(&new, sent.sound).await?;
    super::hear_take(&app, &take.id).await?;
    let take = app.store.take(&take.id).await?;
    Ok((StatusCode::CREATED, Json(take)))
}

#[derive(Deserialize, ToSchema)]
struct Change {
    /// A new title.
    title: Option<String>,
    /// Another player.
    player: Option<String>,
    /// Another exercise.
    exercise: Option<String>,
}

/// Changes title, player or exercise of a take; what is left out stays.
#[utoipa::path(patch, path = "/api/takes/{id}", params(("id" = String, Path)),
    request_body = Change, responses(
    (status = 200, body = Take),
    Refuses<404>, Refuses<422>,
))]
async fn change_take(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(change): Body<Change>,
) -> Answer<Json<Take>> {
    if let Some(player) = &change.player {
        app.store.player(player).await?;
    }
    let (title, player) = (change.title.as_deref(), change.player.as_deref());
    let exercise = change.exercise.as_deref();
    Ok(Json(
        app.store.change_take(&id, title, player, exercise).await?,
    ))
}

/// Removes a take; it can be restored.
#[utoipa::path(delete, path = "/api/takes/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>,
))]
async fn remove_take(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    app.store.remove_take(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed take back.
#[utoipa::path(post, path = "/api/takes/{id}/restore", params(("id" = String, Path)), responses(
    (status = 200, body = Take),
    Refuses<404>,
))]
async fn restore_take(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Take>> {
    Ok(Json(app.store.restore_take(&id).await?))
}
