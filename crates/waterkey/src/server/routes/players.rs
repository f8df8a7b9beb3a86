//! Players, with undo; their progress, load and advice.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use studio::advice::{self, Advice};
use studio::load::{self, Balance};
use studio::progress::Series;
use studio::{Player, PlayerInput, ProgressFilter, TakeFilter, TextKind};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::{Body, Path, Query};
use crate::server::hearing;
use crate::server::problem::{Answer, Code, Problem, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(players, add_player))
        .routes(routes!(player, change_player, remove_player))
        .routes(routes!(restore_player))
        .routes(routes!(progress))
        .routes(routes!(load_of_day))
        .routes(routes!(player_advice))
        .routes(routes!(advice_text, set_advice_text, reset_advice_text))
}

/// How many of the latest takes advice looks at.
const LATEST: u32 = 10;
/// The id of the one text of words.
const ADVICE: &str = "advice";

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Which {
    /// Those that were removed and can be restored.
    #[serde(default)]
    deleted: bool,
}

/// All players.
#[utoipa::path(get, path = "/api/players", params(Which), responses(
    (status = 200, body = [Player]),
    Refuses<400>,
))]
async fn players(State(app): State<App>, Query(which): Query<Which>) -> Answer<Json<Vec<Player>>> {
    Ok(Json(app.store.players(which.deleted).await?))
}

/// Adds a player.
#[utoipa::path(post, path = "/api/players", request_body = PlayerInput, responses(
    (status = 201, body = Player),
    Refuses<422>,
))]
async fn add_player(
    State(app): State<App>,
    Body(about): Body<PlayerInput>,
) -> Answer<(StatusCode, Json<Player>)> {
    let player = app.store.add_player(&about).await?;
    Ok((StatusCode::CREATED, Json(player)))
}

/// One player.
#[utoipa::path(get, path = "/api/players/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = Player),
    Refuses<404>,
))]
async fn player(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Player>> {
    Ok(Json(app.store.player(&id).await?))
}

/// Changes a player.
#[utoipa::path(put, path = "/api/players/{id}", params(("id" = String, Path)),
    request_body = PlayerInput, responses(
    (status = 200, body = Player),
    Refuses<404>, Refuses<422>,
))]
async fn change_player(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(about): Body<PlayerInput>,
) -> Answer<Json<Player>> {
    Ok(Json(app.store.change_player(&id, &about).await?))
}

/// Removes a player; it can be restored.
#[utoipa::path(delete, path = "/api/players/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>,
))]
async fn remove_player(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    app.store.remove_player(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed player back.
#[utoipa::path(post, path = "/api/players/{id}/restore", params(("id" = String, Path)), responses(
    (status = 200, body = Player),
    Refuses<404>,
))]
async fn restore_player(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Player>> {
    Ok(Json(app.store.restore_player(&id).await?))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct WhichProgress {
    /// From this moment on, Unix milliseconds; from the beginning when absent.
    #[serde(default)]
    since_ms: i64,
    /// One skill alone, by its id.
    skill: Option<String>,
    /// One zone of the register alone: `all`, `pedal`, `low`, `middle` or `high`.
    zone: Option<String>,
}

/// Progress by skill and register zone.
#[derive(Serialize, ToSchema)]
struct Progress {
    /// One series for each skill and zone that was measured.
    series: Vec<Series>,
}

/// Progress of a player.
#[utoipa::path(get, path = "/api/players/{id}/progress",
    params(("id" = String, Path), WhichProgress), responses(
    (status = 200, body = Progress),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn progress(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(which): Query<WhichProgress>,
) -> Answer<Json<Progress>> {
    let filter = ProgressFilter {
        since_ms: which.since_ms,
        skill: which.skill,
        zone: which.zone,
    };
    let series = app.store.progress(&id, &filter).await?;
    Ok(Json(Progress { series }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct WhichDay {
    /// The day, `YYYY-MM-DD`.
    day: String,
    /// Minutes by which the player's clock is ahead of UTC.
    #[serde(default)]
    #[param(minimum = -1440, maximum = 1440)]
    offset_minutes: i32,
}

/// Load of a day and advice on it.
#[derive(Serialize, ToSchema)]
struct DayLoad {
    #[serde(flatten)]
    balance: Balance,
    /// What the latest takes say to practise; empty when the day's limit is reached.
    advice: Vec<Advice>,
}

/// Load and rest of a player on a day.
#[utoipa::path(get, path = "/api/players/{id}/load",
    params(("id" = String, Path), WhichDay), responses(
    (status = 200, body = DayLoad),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn load_of_day(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(which): Query<WhichDay>,
) -> Answer<Json<DayLoad>> {
    const DAY_MS: i64 = 86_400_000;
    let player = app.store.player(&id).await?;
    let day = load::parse_day(&which.day)
        .ok_or_else(|| Problem::unprocessable("day must be a date such as 2026-11-25"))?;
    if !(-1440..=1440).contains(&which.offset_minutes) {
        return Err(Problem::unprocessable(
            "offset_minutes must be -1440 to 1440",
        ));
    }
    let (from_ms, to_ms) = ((day - 8) * DAY_MS, (day + 3) * DAY_MS);
    let efforts = app.store.efforts(&id, from_ms, to_ms).await?;
    let balance = load::balance(&player.about, day, which.offset_minutes, &efforts);
    let advice = if balance.left_minutes > 0.0 {
        advise(&app, &id).await?
    } else {
        Vec::new()
    };
    Ok(Json(DayLoad { balance, advice }))
}

/// What the latest takes of a player say to practise.
#[utoipa::path(get, path = "/api/players/{id}/advice", params(("id" = String, Path)), responses(
    (status = 200, body = [Advice]),
    Refuses<404>,
))]
async fn player_advice(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<Vec<Advice>>> {
    app.store.player(&id).await?;
    Ok(Json(advise(&app, &id).await?))
}

async fn advise(app: &App, player: &str) -> Answer<Vec<Advice>> {
    let words = advice::parse(&kept_words(app).await?)?;
    let filter = TakeFilter {
        player: Some(player.into()),
        limit: Some(LATEST),
        ..TakeFilter::default()
    };
    let takes = app.store.takes(&filter).await?.takes;
    let found: Vec<_> = takes
        .iter()
        .filter_map(|take| take.summary.as_ref())
        .flat_map(hearing::found)
        .collect();
    Ok(advice::advise(&words, &found))
}

async fn kept_words(app: &App) -> Answer<String> {
    match app.store.text(TextKind::Advice, ADVICE).await {
        Ok(kept) => Ok(kept.text),
        Err(studio::Error::NotFound { .. }) => Ok(advice::STARTING_SET.into()),
        Err(error) => Err(error.into()),
    }
}

/// A text.
#[derive(Serialize, Deserialize, ToSchema)]
pub(super) struct Text {
    /// The text (TOML).
    pub(super) text: String,
}

/// The words for findings.
#[utoipa::path(get, path = "/api/advice", responses((status = 200, body = Text)))]
async fn advice_text(State(app): State<App>) -> Answer<Json<Text>> {
    let text = kept_words(&app).await?;
    Ok(Json(Text { text }))
}

/// Changes the words for findings.
#[utoipa::path(put, path = "/api/advice", request_body = Text, responses(
    (status = 200, body = Text),
    Refuses<422>,
))]
async fn set_advice_text(State(app): State<App>, Body(new): Body<Text>) -> Answer<Json<Text>> {
    advice::parse(&new.text)?;
    let kept = app
        .store
        .put_text(TextKind::Advice, ADVICE, &new.text)
        .await?;
    Ok(Json(Text { text: kept.text }))
}

/// Goes back to the starting set of words.
#[utoipa::path(delete, path = "/api/advice", responses((status = 204)))]
async fn reset_advice_text(State(app): State<App>) -> Answer<StatusCode> {
    match app
        .store
        .remove_text(TextKind::Advice, ADVICE)
        .await
        .map_err(Problem::from)
    {
        Err(problem) if problem.code() != Code::NotFound => Err(problem),
        _ => Ok(StatusCode::NO_CONTENT),
    }
}
