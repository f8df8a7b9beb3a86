//! The line for live sound: blocks come in and are on the disk at once; what is heard goes back.

mod frame;
mod level;
mod listener;
mod message;
mod opening;
mod passage;
mod picture;
mod safe;
mod socket;

use axum::Router;
use axum::routing::get;

use super::state::App;

/// The way to the line.
pub(crate) fn routes() -> Router<App> {
    Router::new().route("/api/live", get(socket::open))
}
