//! The door: the token of the page, and the passphrase where one is set.

use std::net::SocketAddr;

use axum::Json;
use axum::extract::{ConnectInfo, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::IntoResponse;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::Body;
use crate::server::guard::{self, Sessions};
use crate::server::problem::{Answer, Code, Problem, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(session, sign_in, sign_out))
}

/// The session of the page.
#[derive(Serialize, ToSchema)]
struct Door {
    /// For the header `x-waterkey-token` of everything that changes something.
    token: String,
    /// Whether the session may ask for data.
    signed_in: bool,
    /// Whether a passphrase is needed.
    needs_passphrase: bool,
    /// Whether the server is open to the network.
    network: bool,
}

#[derive(Deserialize, ToSchema)]
struct Passphrase {
    /// The passphrase.
    passphrase: String,
}

fn door(app: &App, session: &guard::Session) -> Door {
    Door {
        token: app.sessions.token(session),
        signed_in: app.sessions.is_signed_in(Some(session)),
        needs_passphrase: app.sessions.passphrase_hash().is_some(),
        network: app.network,
    }
}

/// The session and its token; begins one where there is none.
#[utoipa::path(get, path = "/api/session", responses((status = 200, body = Door)))]
async fn session(State(app): State<App>, headers: HeaderMap) -> impl IntoResponse {
    let session = app.sessions.of(&headers);
    let session = session.unwrap_or_else(|| app.sessions.begin(false));
    let cookie = app.sessions.cookie(&session);
    ([(header::SET_COOKIE, cookie)], Json(door(&app, &session)))
}

/// Signs in with the passphrase.
#[utoipa::path(post, path = "/api/session", request_body = Passphrase, responses(
    (status = 200, body = Door),
    Refuses<401>, Refuses<429>,
))]
async fn sign_in(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Body(given): Body<Passphrase>,
) -> Answer<([(header::HeaderName, HeaderValue); 1], Json<Door>)> {
    if app.sessions.passphrase_hash().is_some() {
        app.rates.try_passphrase(from.ip())?;
        let sessions = app.sessions.clone();
        let fits = app
            .heavy(move || {
                sessions
                    .passphrase_hash()
                    .is_some_and(|hash| guard::fits(&given.passphrase, hash))
            })
            .await?;
        if !fits {
            return Err(Problem::new(
                Code::Unauthorized,
                "this is not the passphrase",
            ));
        }
    }
    let session = app.sessions.begin(true);
    let cookie = app.sessions.cookie(&session);
    Ok(([(header::SET_COOKIE, cookie)], Json(door(&app, &session))))
}

/// Ends the session.
#[utoipa::path(delete, path = "/api/session", responses((status = 204)))]
async fn sign_out() -> impl IntoResponse {
    (
        StatusCode::NO_CONTENT,
        [(header::SET_COOKIE, Sessions::end())],
    )
}
