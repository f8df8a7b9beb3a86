//! Notes at places in a take: what a teacher hears there.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use studio::{TakeNote, TakeNoteInput};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::{Body, Path};
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(add_note))
        .routes(routes!(change_note, remove_note))
        .routes(routes!(restore_note))
}

/// Adds a note at a place in a take.
#[utoipa::path(post, path = "/api/takes/{id}/notes", params(("id" = String, Path)),
    request_body = TakeNoteInput, responses(
    (status = 201, body = TakeNote),
    Refuses<404>, Refuses<422>,
))]
async fn add_note(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(about): Body<TakeNoteInput>,
) -> Answer<(StatusCode, Json<TakeNote>)> {
    let note = app.store.add_take_note(&id, &about).await?;
    Ok((StatusCode::CREATED, Json(note)))
}

/// Changes a note.
#[utoipa::path(put, path = "/api/takes/{id}/notes/{note}",
    params(("id" = String, Path), ("note" = String, Path)),
    request_body = TakeNoteInput, responses(
    (status = 200, body = TakeNote),
    Refuses<404>, Refuses<422>,
))]
async fn change_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
    Body(about): Body<TakeNoteInput>,
) -> Answer<Json<TakeNote>> {
    Ok(Json(app.store.change_take_note(&id, &note, &about).await?))
}

/// Removes a note; it can be restored.
#[utoipa::path(delete, path = "/api/takes/{id}/notes/{note}",
    params(("id" = String, Path), ("note" = String, Path)), responses(
    (status = 204),
    Refuses<404>,
))]
async fn remove_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
) -> Answer<StatusCode> {
    app.store.remove_take_note(&id, &note).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed note back.
#[utoipa::path(post, path = "/api/takes/{id}/notes/{note}/restore",
    params(("id" = String, Path), ("note" = String, Path)), responses(
    (status = 200, body = TakeNote),
    Refuses<404>,
))]
async fn restore_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
) -> Answer<Json<TakeNote>> {
    Ok(Json(app.store.restore_take_note(&id, &note).await?))
}
