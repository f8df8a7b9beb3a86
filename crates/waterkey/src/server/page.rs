//! The page itself: embedded files, the shell for every address of the page's own.

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

use super::problem::Problem;

#[cfg(feature = "page")]
mod embedded {
    /// The page as the build script put it there. Only names that were there at build time are
    /// found: no request reaches the file system.
    #[derive(rust_embed::Embed)]
    #[folder = "$OUT_DIR/ui"]
    pub(super) struct Files;
}

#[cfg(feature = "page")]
fn file(name: &str) -> Option<(std::borrow::Cow<'static, [u8]>, String, String)> {
    let file = <embedded::Files as rust_embed::RustEmbed>::get(name)?;
    let kind = if name.ends_with(".webmanifest") {
        "application/manifest+json".to_owned()
    } else {
        let guess = mime_guess::from_path(name).first_or_octet_stream();
        match guess.type_() {
            mime_guess::mime::TEXT => format!("{guess}; charset=utf-8"),
            _ => guess.to_string(),
        }
    };
    let tag = file.metadata.sha256_hash();
    let tag = tag
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    Some((file.data, kind, tag))
}

#[cfg(not(feature = "page"))]
fn file(name: &str) -> Option<(std::borrow::Cow<'static, [u8]>, String, String)> {
    const TOLD: &str = "This program was built without its web page; its data is under /api.\n\
        To build it with the page, install Node.js 20 or later with npm and run\n\
        cargo build -p waterkey --features page\n";
    (name == "index.html").then(|| {
        (
            TOLD.as_bytes().into(),
            "text/plain; charset=utf-8".to_owned(),
            "none".to_owned(),
        )
    })
}

/// Answers whatever is not under `/api`: a file of the page, or the shell.
pub(crate) async fn page(method: axum::http::Method, uri: Uri, headers: HeaderMap) -> Response {
    let path = uri.path().trim_start_matches('/');
    if path == "api" || path.starts_with("api/") {
        return Problem::not_found("way", uri.path()).into_response();
    }
    if method != axum::http::Method::GET && method != axum::http::Method::HEAD {
        return Problem::new(
            super::problem::Code::MethodNotAllowed,
            "the page can only be read",
        )
        .into_response();
    }
    // A missing asset is missing; any other address is one of the page's own, for the shell.
    let found = file(path).or_else(|| {
        let is_asset = path
            .rsplit('/')
            .next()
            .is_some_and(|name| name.contains('.'));
        (!is_asset).then(|| file("index.html")).flatten()
    });
    let Some((bytes, kind, tag)) = found else {
        return Problem::not_found("file", path).into_response();
    };
    let tag = format!("\"{tag}\"");
    // Files under assets/ carry a hash of their content in their name.
    let keep = if path.starts_with("assets/") {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let cached = headers
        .get(header::IF_NONE_MATCH)
        .is_some_and(|known| known.as_bytes() == tag.as_bytes());
    let head = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, keep.to_owned()),
        (header::ETAG, tag),
    ];
    if cached {
        return (StatusCode::NOT_MODIFIED, head).into_response();
    }
    (head, Body::from(bytes)).into_response()
}
