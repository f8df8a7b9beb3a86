//! Leadpipes to try: sections that take the place of a bore's own.

use axum::Json;
use horn::bore::{Section, generic_leadpipe, generic_leadpipe_ids};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::problem::{Answer, Problem};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(leadpipes))
}

/// A leadpipe.
#[derive(Serialize, ToSchema)]
struct Leadpipe {
    id: String,
    /// Diameter where the mouthpiece goes in, millimetres.
    from_mm: f64,
    /// Diameter at its other end, millimetres.
    to_mm: f64,
    /// Length, millimetres.
    length_mm: f64,
    /// Where its dimensions come from.
    source: String,
}

/// The leadpipe under an id.
pub(super) fn find(id: &str) -> Answer<Section> {
    // Part of a question about a tube, not of an address.
    generic_leadpipe(id).map_err(|error| Problem::unprocessable(error.to_string()))
}

/// The leadpipes that come with the program. One fits an instrument whose bore has a leadpipe.
#[utoipa::path(get, path = "/api/leadpipes", responses((status = 200, body = [Leadpipe])))]
async fn leadpipes() -> Answer<Json<Vec<Leadpipe>>> {
    let all = generic_leadpipe_ids().map(|id| {
        let section = find(id)?;
        let (from_mm, to_mm) = section.diameters();
        Ok(Leadpipe {
            id: id.into(),
            from_mm,
            to_mm,
            length_mm: section.length_mm,
            source: section.source,
        })
    });
    Ok(Json(all.collect::<Answer<_>>()?))
}
