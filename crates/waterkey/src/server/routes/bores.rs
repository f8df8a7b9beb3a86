//! The bores of instruments: those that come with the program, and the user's own.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use horn::bore::{Bore, BoreError, generic_bore, generic_bore_ids, generic_bore_source};
use serde::Serialize;
use studio::TextKind;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::instruments;
use super::own::Own;
use super::players::Text;
use crate::server::extract::{Body, Path};
use crate::server::problem::{Answer, Problem, Refuses};
use crate::server::state::App;

/// Bore files of the user's own, each under its instrument's id.
const OWN: Own = Own {
    kind: TextKind::Bore,
    noun: "bore",
    shipped: |id| generic_bore_ids().any(|known| known == id),
};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(bore, set_bore, remove_bore))
        .routes(routes!(restore_bore))
}

fn refuse(error: &BoreError) -> Problem {
    Problem::unprocessable(error.to_string())
}

fn read(text: &str) -> Answer<Bore> {
    Bore::from_toml(text).map_err(|error| refuse(&error))
}

/// The bore of an instrument.
pub(super) async fn find(app: &App, instrument: &str) -> Answer<Bore> {
    if (OWN.shipped)(instrument) {
        return generic_bore(instrument).map_err(|error| refuse(&error));
    }
    match OWN.find(app, instrument).await {
        Ok(own) => read(&own.text),
        Err(_) => Err(Problem::unprocessable(format!(
            "the bore of `{instrument}` is not known; give one with \
             PUT /api/instruments/{instrument}/bore"
        ))),
    }
}

/// A bore file.
#[derive(Serialize, ToSchema)]
struct BoreSheet {
    /// The file (TOML).
    text: String,
    /// Whether it is the user's own.
    own: bool,
}

/// The bore file of an instrument.
#[utoipa::path(get, path = "/api/instruments/{id}/bore", params(("id" = String, Path)), responses(
    (status = 200, body = BoreSheet),
    Refuses<404>,
))]
async fn bore(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<BoreSheet>> {
    if let Ok(text) = generic_bore_source(&id) {
        return Ok(Json(BoreSheet {
            text: text.to_owned(),
            own: false,
        }));
    }
    let text = OWN.find(&app, &id).await?.text;
    Ok(Json(BoreSheet { text, own: true }))
}

/// Gives an instrument of the user's own its bore, or another.
#[utoipa::path(put, path = "/api/instruments/{id}/bore", params(("id" = String, Path)),
    request_body = Text, responses(
    (status = 200, body = BoreSheet),
    Refuses<404>, Refuses<409>, Refuses<422>,
))]
async fn set_bore(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(new): Body<Text>,
) -> Answer<Json<BoreSheet>> {
    OWN.must_be_own(&id)?;
    instruments::find(&app, &id).await?;
    let says = read(&new.text)?.id;
    let text = OWN.change(&app, &id, &says, &new.text).await?.text;
    Ok(Json(BoreSheet { text, own: true }))
}

/// Removes the bore of an instrument of the user's own; it can be restored.
#[utoipa::path(delete, path = "/api/instruments/{id}/bore", params(("id" = String, Path)),
    responses(
    (status = 204),
    Refuses<404>, Refuses<409>,
))]
async fn remove_bore(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    OWN.remove(&app, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed bore back.
#[utoipa::path(post, path = "/api/instruments/{id}/bore/restore", params(("id" = String, Path)),
    responses(
    (status = 200, body = BoreSheet),
    Refuses<404>,
))]
async fn restore_bore(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<BoreSheet>> {
    let text = OWN.restore(&app, &id).await?.text;
    Ok(Json(BoreSheet { text, own: true }))
}
