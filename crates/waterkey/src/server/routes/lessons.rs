//! Lessons, with undo.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use studio::{Lesson, LessonInput};
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::{Body, Path, Query};
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(lessons, add_lesson))
        .routes(routes!(lesson, change_lesson, remove_lesson))
        .routes(routes!(restore_lesson))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Whose {
    /// This player's alone.
    player: Option<String>,
}

/// Lessons, the latest first.
#[utoipa::path(get, path = "/api/lessons", params(Whose), responses((status = 200, body = [Lesson])))]
async fn lessons(State(app): State<App>, Query(whose): Query<Whose>) -> Answer<Json<Vec<Lesson>>> {
    Ok(Json(app.store.lessons(whose.player.as_deref()).await?))
}

/// Adds a lesson.
#[utoipa::path(post, path = "/api/lessons", request_body = LessonInput, responses(
    (status = 201, body = Lesson),
    Refuses<404>, Refuses<422>,
))]
async fn add_lesson(
    State(app): State<App>,
    Body(about): Body<LessonInput>,
) -> Answer<(StatusCode, Json<Lesson>)> {
    let lesson = app.store.add_lesson(&about).await?;
    Ok((StatusCode::CREATED, Json(lesson)))
}

/// One lesson.
#[utoipa::path(get, path = "/api/lessons/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = Lesson),
    Refuses<404>,
))]
async fn lesson(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Lesson>> {
    Ok(Json(app.store.lesson(&id).await?))
}

/// Changes a lesson.
#[utoipa::path(put, path = "/api/lessons/{id}", params(("id" = String, Path)),
    request_body = LessonInput, responses(
    (status = 200, body = Lesson),
    Refuses<404>, Refuses<422>,
))]
async fn change_lesson(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(about): Body<LessonInput>,
) -> Answer<Json<Lesson>> {
    Ok(Json(app.store.change_lesson(&id, &about).await?))
}

/// Removes a lesson; it can be restored.
#[utoipa::path(delete, path = "/api/lessons/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>,
))]
async fn remove_lesson(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    app.store.remove_lesson(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed lesson back.
#[utoipa::path(post, path = "/api/lessons/{id}/restore", params(("id" = String, Path)), responses(
    (status = 200, body = Lesson),
    Refuses<404>,
))]
async fn restore_lesson(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Lesson>> {
    Ok(Json(app.store.restore_lesson(&id).await?))
}
