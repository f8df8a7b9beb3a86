//! Requests from other sites: refused by what the browser itself says of where they come from.

use axum::extract::Request;
use axum::http::{HeaderMap, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::server::problem::{Code, Problem};

/// Whether a request was made by this server's own page, or by no page at all.
///
/// `Sec-Fetch-Site` (W3C Fetch Metadata) says it outright; older browsers send `Origin`, which
/// must be the host that was asked. A program that is no browser sends neither.
pub(crate) fn is_own(headers: &HeaderMap, method_changes: bool) -> bool {
    let text = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or("?"));
    match text("sec-fetch-site") {
        Some("same-origin") => {}
        // Typed into the address bar, or a link followed: harmless unless it changes something.
        Some("none" | "same-site" | "cross-site") if !method_changes && is_navigation(headers) => {
            return true;
        }
        Some("none") if !method_changes => {}
        Some(_) => return false,
        None => {}
    }
    match (text(header::ORIGIN.as_str()), text(header::HOST.as_str())) {
        (None, _) => true,
        (Some(origin), Some(host)) => origin
            .split_once("://")
            .is_some_and(|(_, origin_host)| origin_host.eq_ignore_ascii_case(host)),
        (Some(_), None) => false,
    }
}

fn is_navigation(headers: &HeaderMap) -> bool {
    headers
        .get("sec-fetch-mode")
        .is_some_and(|mode| mode == "navigate")
}

/// Refuses requests that another site's page makes.
pub(crate) async fn check_origin(request: Request, next: Next) -> Response {
    let is_socket = request.headers().contains_key(header::UPGRADE);
    let changes = !request.method().is_safe() || is_socket;
    if is_own(request.headers(), changes) {
        return next.run(request).await;
    }
    Problem::new(
        Code::ForbiddenOrigin,
        "only this server's own page may ask this",
    )
    .into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn own(pairs: &[(&'static str, &str)], changes: bool) -> bool {
        let headers = pairs
            .iter()
            .map(|(name, value)| ((*name).parse().unwrap(), value.parse().unwrap()))
            .collect();
        is_own(&headers, changes)
    }

    #[test]
    fn other_sites_are_told_apart() {
        let here = ("host", "localhost:7373");
        assert!(own(&[here], true), "a program that is no browser");
        assert!(own(&[here, ("origin", "http://localhost:7373")], true));
        assert!(own(&[here, ("sec-fetch-site", "same-origin")], true));
        assert!(!own(&[here, ("origin", "http://evil.example")], true));
        assert!(!own(&[here, ("origin", "null")], true));
        assert!(!own(&[here, ("sec-fetch-site", "cross-site")], false));
        assert!(!own(&[here, ("sec-fetch-site", "same-site")], true));
        let link = [
            here,
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "navigate"),
        ];
        assert!(own(&link, false) && !own(&link, true));
    }
}
