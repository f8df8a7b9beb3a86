//! The safety of the data: archive out and in, backups, the doctor.

use axum::Json;
use axum::body::Body as Bytes;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use studio::{ArchiveCounts, Backup, Verdict};
use tokio::runtime::Handle;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::passing::{Passing, file_of, spool};
use crate::server::extract::Body;
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

/// Largest archive that is taken in.
const MOST_ARCHIVE: usize = 64 << 30;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(export_everything))
        .routes(routes!(backups, back_up))
        .routes(routes!(doctor))
        .merge(
            OpenApiRouter::new()
                .routes(routes!(import))
                .layer(DefaultBodyLimit::max(MOST_ARCHIVE)),
        )
}

/// Everything as one archive: JSON, TOML and FLAC in a ZIP.
#[utoipa::path(get, path = "/api/export", responses(
    (status = 200, body = Vec<u8>, content_type = "application/zip"),
    Refuses<507>,
))]
async fn export_everything(State(app): State<App>) -> Answer<Response> {
    let passing = Passing(app.passing_path("zip"));
    let store = app.store.clone();
    let runtime = Handle::current();
    // The file goes with the work: a client that leaves meanwhile must not orphan it.
    let passing = app
        .heavy(move || {
            runtime.block_on(store.export_archive(&passing.0))?;
            Ok::<_, studio::Error>(passing)
        })
        .await??;
    let (body, length) = file_of(passing).await?;
    let head = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"waterkey.zip\"".to_owned(),
        ),
    ];
    Ok((head, body).into_response())
}

/// Takes in an archive; what is there and newer stays.
#[utoipa::path(post, path = "/api/import",
    request_body(content = Vec<u8>, content_type = "application/zip"), responses(
    (status = 200, body = ArchiveCounts),
    Refuses<413>, Refuses<422>, Refuses<507>,
))]
async fn import(State(app): State<App>, body: Bytes) -> Answer<Json<ArchiveCounts>> {
    let passing = spool(&app, body, MOST_ARCHIVE).await?;
    let store = app.store.clone();
    let runtime = Handle::current();
    let counts = app
        .heavy(move || runtime.block_on(store.import_archive(&passing.0)))
        .await??;
    Ok(Json(counts))
}

/// The backups of the database that are there.
#[utoipa::path(get, path = "/api/backups", responses((status = 200, body = [Backup])))]
async fn backups(State(app): State<App>) -> Answer<Json<Vec<Backup>>> {
    let store = app.store.clone();
    Ok(Json(app.heavy(move || store.backups()).await??))
}

/// Makes a backup of the database.
#[utoipa::path(post, path = "/api/backups", responses(
    (status = 201, body = Backup),
    Refuses<503>, Refuses<507>,
))]
async fn back_up(State(app): State<App>) -> Answer<impl IntoResponse> {
    let backup = app.store.back_up().await?;
    Ok((axum::http::StatusCode::CREATED, Json(backup)))
}

#[derive(Serialize, Deserialize, ToSchema)]
struct Treatment {
    /// Whether to mend what can be mended.
    #[serde(default)]
    repair: bool,
}

/// Verifies the database and every sound.
#[utoipa::path(post, path = "/api/doctor", request_body = Treatment, responses(
    (status = 200, body = Verdict),
    Refuses<409>,
))]
async fn doctor(State(app): State<App>, Body(treatment): Body<Treatment>) -> Answer<Json<Verdict>> {
    Ok(Json(app.store.examine(treatment.repair).await?))
}
