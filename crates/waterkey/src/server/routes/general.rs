//! How the server is, and the settings.

use axum::Json;
use axum::extract::State;
use serde::Serialize;
use studio::Settings;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::Body;
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(health))
        .routes(routes!(settings, set_settings))
}

/// How the server is.
#[derive(Serialize, ToSchema)]
struct Health {
    /// Always `ok`: a server that is not does not answer.
    status: &'static str,
    /// Version of the program.
    version: &'static str,
    /// Whether this build engraves (SVG and PDF).
    engraver: bool,
    /// How many takes are kept.
    takes: u64,
    /// How many recordings are going on.
    recording: usize,
}

/// How the server is.
#[utoipa::path(get, path = "/api/health", responses((status = 200, body = Health)))]
async fn health(State(app): State<App>) -> Answer<Json<Health>> {
    Ok(Json(Health {
        status: "ok",
        version: env!("CARGO_PKG_VERSION"),
        engraver: cfg!(feature = "engrave"),
        takes: app.store.take_count().await?,
        recording: app.store.recording_count(),
    }))
}

/// The settings of the house.
#[utoipa::path(get, path = "/api/settings", responses((status = 200, body = Settings)))]
async fn settings(State(app): State<App>) -> Answer<Json<Settings>> {
    Ok(Json(app.store.settings().await?))
}

/// Changes the settings; a field left out goes back to its default.
#[utoipa::path(put, path = "/api/settings", request_body = Settings, responses(
    (status = 200, body = Settings),
    Refuses<422>,
))]
async fn set_settings(
    State(app): State<App>,
    Body(settings): Body<Settings>,
) -> Answer<Json<Settings>> {
    app.store.set_settings(&settings).await?;
    Ok(Json(settings))
}
