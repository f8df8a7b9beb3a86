//! Headers on every answer: what the page may load and what others may do with it.

use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;

/// Content Security Policy Level 3 (W3C): everything from here, nothing inline. Engraved music is
/// put into the page as SVG whose colours come from the page's own style sheet.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data: blob:; media-src 'self' blob:; font-src 'self'; connect-src 'self'; \
    worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; \
    frame-ancestors 'none'";

const FIXED: [(&str, &str); 6] = [
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    (
        "permissions-policy",
        "microphone=(self), camera=(), geolocation=(), payment=(), usb=()",
    ),
];

/// Puts the headers on an answer; what a handler set itself stays.
pub(crate) async fn harden(request: Request, next: Next) -> Response {
    let of_data = request.uri().path().starts_with("/api");
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in FIXED {
        headers.insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    headers
        .entry(header::CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(POLICY));
    if of_data {
        headers
            .entry(header::CACHE_CONTROL)
            .or_insert(HeaderValue::from_static("no-store"));
    }
    response
}
