//! Mouthpieces: those that come with the program, and the user's own.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use horn::bore::{
    Mouthpiece, generic_mouthpiece, generic_mouthpiece_ids, generic_mouthpiece_source,
};
use serde::Serialize;
use studio::TextKind;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::own::Own;
use super::players::Text;
use crate::server::extract::{Body, Path};
use crate::server::problem::{Answer, Problem, Refuses};
use crate::server::state::App;

/// Mouthpiece files of the user's own.
const OWN: Own = Own {
    kind: TextKind::Mouthpiece,
    noun: "mouthpiece",
    shipped: |id| generic_mouthpiece_ids().any(|known| known == id),
};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(mouthpieces, add_mouthpiece))
        .routes(routes!(mouthpiece, change_mouthpiece, remove_mouthpiece))
        .routes(routes!(restore_mouthpiece))
}

fn read(text: &str) -> Answer<Mouthpiece> {
    let mouthpiece =
        Mouthpiece::from_toml(text).map_err(|error| Problem::unprocessable(error.to_string()))?;
    mouthpiece
        .check(&mouthpiece.id)
        .map_err(|error| Problem::unprocessable(error.to_string()))?;
    Ok(mouthpiece)
}

/// The mouthpiece under an id: the user's own or one that came with the program.
pub(super) async fn find(app: &App, id: &str) -> Answer<Mouthpiece> {
    if (OWN.shipped)(id) {
        return generic_mouthpiece(id).map_err(|e| Problem::unprocessable(e.to_string()));
    }
    match OWN.find(app, id).await {
        Ok(own) => read(&own.text),
        // Part of a question about a tube, not of an address.
        Err(problem) => Err(Problem::unprocessable(problem.detail().to_owned())),
    }
}

/// A mouthpiece and its file.
#[derive(Serialize, ToSchema)]
struct MouthpieceSheet {
    id: String,
    /// Name for people.
    name: String,
    /// Whether it is the user's own.
    own: bool,
    /// Its file (TOML).
    text: String,
}

fn sheet(text: String, own: bool) -> Answer<MouthpieceSheet> {
    let Mouthpiece { id, name, .. } = read(&text)?;
    Ok(MouthpieceSheet {
        id,
        name,
        own,
        text,
    })
}

/// All mouthpieces, those that came with the program first.
#[utoipa::path(get, path = "/api/mouthpieces", responses((status = 200, body = [MouthpieceSheet])))]
async fn mouthpieces(State(app): State<App>) -> Answer<Json<Vec<MouthpieceSheet>>> {
    let shipped = generic_mouthpiece_ids()
        .filter_map(|id| sheet(generic_mouthpiece_source(id).ok()?.to_owned(), false).ok());
    let mut all: Vec<MouthpieceSheet> = shipped.collect();
    let own = OWN.all(&app).await?;
    all.extend(own.into_iter().filter_map(|own| sheet(own.text, true).ok()));
    Ok(Json(all))
}

/// One mouthpiece.
#[utoipa::path(get, path = "/api/mouthpieces/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = MouthpieceSheet),
    Refuses<404>,
))]
async fn mouthpiece(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<MouthpieceSheet>> {
    match generic_mouthpiece_source(&id) {
        Ok(text) => sheet(text.to_owned(), false).map(Json),
        Err(_) => sheet(OWN.find(&app, &id).await?.text, true).map(Json),
    }
}

/// Adds a mouthpiece of the user's own.
#[utoipa::path(post, path = "/api/mouthpieces", request_body = Text, responses(
    (status = 201, body = MouthpieceSheet),
    Refuses<409>, Refuses<422>,
))]
async fn add_mouthpiece(
    State(app): State<App>,
    Body(new): Body<Text>,
) -> Answer<(StatusCode, Json<MouthpieceSheet>)> {
    let id = read(&new.text)?.id;
    let kept = OWN.add(&app, &id, &new.text).await?;
    Ok((StatusCode::CREATED, Json(sheet(kept.text, true)?)))
}

/// Changes a mouthpiece of the user's own.
#[utoipa::path(put, path = "/api/mouthpieces/{id}", params(("id" = String, Path)),
    request_body = Text, responses(
    (status = 200, body = MouthpieceSheet),
    Refuses<404>, Refuses<409>, Refuses<422>,
))]
async fn change_mouthpiece(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(new): Body<Text>,
) -> Answer<Json<MouthpieceSheet>> {
    OWN.must_be_own(&id)?;
    OWN.find(&app, &id).await?;
    let says = read(&new.text)?.id;
    let kept = OWN.change(&app, &id, &says, &new.text).await?;
    sheet(kept.text, true).map(Json)
}

/// Removes a mouthpiece of the user's own; it can be restored.
#[utoipa::path(delete, path = "/api/mouthpieces/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>, Refuses<409>,
))]
async fn remove_mouthpiece(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    OWN.remove(&app, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed mouthpiece back.
#[utoipa::path(post, path = "/api/mouthpieces/{id}/restore", params(("id" = String, Path)),
    responses(
    (status = 200, body = MouthpieceSheet),
    Refuses<404>,
))]
async fn restore_mouthpiece(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<MouthpieceSheet>> {
    sheet(OWN.restore(&app, &id).await?.text, true).map(Json)
}
