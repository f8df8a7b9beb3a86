//! The ways under `/api`: one file for each kind of thing, each with its part of the description.

mod audio;
mod books;
mod bores;
mod compare;
mod data;
mod exercises;
mod general;
mod heard;
mod instruments;
mod leadpipes;
mod lessons;
mod mouthpieces;
mod own;
mod parts;
mod passing;
mod players;
mod session;
mod take_notes;
mod takes;
mod tube;
mod tuning;
mod voice;

use std::sync::Arc;
use std::time::Duration;

use axum::extract::DefaultBodyLimit;
use axum::response::IntoResponse;
use axum::{Json, Router, middleware};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::timeout::RequestBodyTimeoutLayer;
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;

use super::guard::{self, Names};
use super::problem::{Code, Problem};
use super::state::App;

pub(crate) use heard::hear_take;
pub(crate) use instruments::{find as find_instrument, json};
pub(crate) use parts::{Asked, part_to_play};

/// Largest JSON body.
const MOST_JSON: usize = 2 << 20;
/// A body whose next piece takes longer than this is given up.
const PIECE_WITHIN: Duration = Duration::from_secs(20);

/// The description of the ways (OpenAPI 3.1).
#[derive(OpenApi)]
#[openapi(
    info(
        title = "waterkey",
        description = "The data of a studio for people who play and teach brass. Changes need the \
                       token of GET /api/session in the header x-waterkey-token.",
        license(name = "GPL-3.0-or-later", identifier = "GPL-3.0-or-later")
    ),
    components(schemas(Problem))
)]
struct Description;

fn described() -> OpenApiRouter<App> {
    OpenApiRouter::with_openapi(Description::openapi())
        .merge(general::routes())
        .merge(session::routes())
        .merge(instruments::routes())
        .merge(bores::routes())
        .merge(mouthpieces::routes())
        .merge(leadpipes::routes())
        .merge(tube::routes())
        .merge(compare::routes())
        .merge(exercises::routes())
        .merge(parts::routes())
        .merge(books::routes())
        .merge(players::routes())
        .merge(lessons::routes())
        .merge(takes::routes())
        .merge(take_notes::routes())
        .merge(audio::routes())
        .merge(heard::routes())
        .merge(voice::routes())
        .merge(data::routes())
}

/// Everything the server answers, behind its guards.
pub(crate) fn router(app: App, names: Names) -> Router {
    let (ways, description) = described().split_for_parts();
    let description = Arc::new(description);
    let ways = ways
        .route(
            "/api/openapi.json",
            axum::routing::get(move || async move { Json((*description).clone()) }),
        )
        .merge(super::live::routes())
        .method_not_allowed_fallback(|| async {
            Problem::new(
                Code::MethodNotAllowed,
                "this way is not taken by this method",
            )
            .into_response()
        })
        // Runs only for /api: the page itself may be read before signing in.
        .route_layer(middleware::from_fn_with_state(
            Arc::clone(&app.sessions),
            guard::check_session,
        ))
        .layer(DefaultBodyLimit::max(MOST_JSON))
        .layer(RequestBodyTimeoutLayer::new(PIECE_WITHIN));
    let rates = Arc::clone(&app.rates);
    Router::new()
        .merge(ways)
        .fallback(super::page::page)
        .with_state(app)
        .layer(middleware::from_fn(guard::check_origin))
        .layer(middleware::from_fn_with_state(rates, guard::check_rate))
        .layer(middleware::from_fn_with_state(
            Arc::new(names),
            guard::check_host,
        ))
        .layer(CatchPanicLayer::custom(
            |_: Box<dyn std::any::Any + Send>| {
                Problem::new(Code::Internal, "a fault in the program").into_response()
            },
        ))
        .layer(middleware::from_fn(guard::harden))
}

/// Unix milliseconds UTC; 0 for a clock set before 1970.
pub(crate) fn now_ms() -> i64 {
    std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .ok()
        .and_then(|since| i64::try_from(since.as_millis()).ok())
        .unwrap_or(0)
}
