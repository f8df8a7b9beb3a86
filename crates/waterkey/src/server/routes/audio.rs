//! The recorded sound of a take, whole or by stretches (RFC 9110, section 14).

use axum::body::Body as Bytes;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tokio::io::{AsyncReadExt, AsyncSeekExt, SeekFrom};
use tokio_util::io::ReaderStream;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::passing::open;
use crate::server::extract::Path;
use crate::server::problem::{Answer, Code, Problem, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(audio))
}

/// What a `Range` header asks of a file (RFC 9110, section 14).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stretch {
    /// All of it: there is no header, or none that is understood.
    Whole,
    /// From one byte up to and with another.
    Part { first: u64, last: u64 },
    /// A stretch that is not there.
    Outside,
}

fn stretch(range: Option<&HeaderValue>, length: u64) -> Stretch {
    let parsed = range
        .and_then(|range| range.to_str().ok())
        .and_then(|range| range.trim().strip_prefix("bytes="))
        // Several stretches at once are answered with the whole, as the standard allows.
        .filter(|list| !list.contains(','))
        .and_then(|range| range.split_once('-'));
    let Some((first, last)) = parsed else {
        return Stretch::Whole;
    };
    let (first, last) = (first.trim(), last.trim());
    let asked = match (first.parse::<u64>(), last.parse::<u64>()) {
        (Ok(first), Ok(last)) if first <= last => (first, last.min(length.saturating_sub(1))),
        (Ok(first), Err(_)) if last.is_empty() => (first, length.saturating_sub(1)),
        (Err(_), Ok(count)) if first.is_empty() => {
            if count == 0 {
                return Stretch::Outside;
            }
            (length.saturating_sub(count), length.saturating_sub(1))
        }
        _ => return Stretch::Whole,
    };
    if asked.0 >= length {
        return Stretch::Outside;
    }
    Stretch::Part {
        first: asked.0,
        last: asked.1,
    }
}

/// The sound of a take as FLAC; a `Range` is honoured.
#[utoipa::path(get, path = "/api/takes/{id}/audio", params(("id" = String, Path)), responses(
    (status = 200, body = Vec<u8>, content_type = "audio/flac"),
    (status = 206, body = Vec<u8>, content_type = "audio/flac"),
    (status = 304),
    Refuses<404>, Refuses<416>,
))]
async fn audio(
    State(app): State<App>,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Answer<Response> {
    let (take, path) = app.store.take_sound(&id).await?;
    let (mut file, length) = open(&path).await?;
    let tag = format!("\"{}\"", take.sha256);
    let known = |name| {
        headers
            .get(name)
            .is_some_and(|v: &HeaderValue| v.as_bytes() == tag.as_bytes())
    };
    if known(header::IF_NONE_MATCH) {
        return Ok((StatusCode::NOT_MODIFIED, [(header::ETAG, tag)]).into_response());
    }
    // A stretch of another version of the file would be noise.
    let same = !headers.contains_key(header::IF_RANGE) || known(header::IF_RANGE);
    let range = headers.get(header::RANGE).filter(|_| same);
    let (status, first, count) = match stretch(range, length) {
        Stretch::Whole => (StatusCode::OK, 0, length),
        Stretch::Part { first, last } => (StatusCode::PARTIAL_CONTENT, first, last - first + 1),
        Stretch::Outside => {
            let problem = Problem::new(
                Code::RangeNotSatisfiable,
                format!("the file has {length} bytes"),
            );
            let all = [(header::CONTENT_RANGE, format!("bytes */{length}"))];
            return Ok((all, problem).into_response());
        }
    };
    file.seek(SeekFrom::Start(first)).await.map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(Code::Internal, "a file could not be read")
    })?;
    let mut response = Bytes::from_stream(ReaderStream::new(file.take(count))).into_response();
    *response.status_mut() = status;
    let head = response.headers_mut();
    head.insert(header::CONTENT_TYPE, HeaderValue::from_static("audio/flac"));
    head.insert(header::ACCEPT_RANGES, HeaderValue::from_static("bytes"));
    head.insert(header::CONTENT_LENGTH, HeaderValue::from(count));
    head.insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("private, max-age=3600"),
    );
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        head.insert(header::ETAG, tag);
    }
    if status == StatusCode::PARTIAL_CONTENT {
        let text = format!("bytes {first}-{}/{length}", first + count - 1);
        if let Ok(value) = HeaderValue::from_str(&text) {
            head.insert(header::CONTENT_RANGE, value);
        }
    }
    Ok(response)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 9110, section 14.1.2, for a file of 10,000 bytes, and what is no range.
    #[test]
    fn ranges_are_read_as_the_standard_says() {
        let of = |text: &str| stretch(Some(&HeaderValue::from_str(text).unwrap()), 10_000);
        let part = |first, last| Stretch::Part { first, last };
        assert_eq!(of("bytes=0-499"), part(0, 499));
        assert_eq!(of("bytes=500-999"), part(500, 999));
        assert_eq!(of("bytes=-500"), part(9_500, 9_999));
        assert_eq!(of("bytes=9500-"), part(9_500, 9_999));
        assert_eq!(of("bytes=0-99999"), part(0, 9_999));
        assert_eq!(of("bytes=-99999"), part(0, 9_999));
        assert_eq!(of("bytes=10000-"), Stretch::Outside);
        assert_eq!(of("bytes=-0"), Stretch::Outside);
        for whole in [
            "bytes=5-2",
            "bytes=",
            "bytes=-",
            "lines=1-2",
            "bytes=0-0,5-9",
            "bytes=a-b",
        ] {
            assert_eq!(of(whole), Stretch::Whole, "{whole}");
        }
        assert_eq!(stretch(None, 10), Stretch::Whole);
        assert_eq!(
            stretch(Some(&HeaderValue::from_static("bytes=0-")), 0),
            Stretch::Outside
        );
    }
}
