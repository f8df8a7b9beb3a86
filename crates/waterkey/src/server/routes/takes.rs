//! Takes: listed, sent in, played back by stretches, with notes at places.

use std::path::PathBuf;

use axum::Json;
use axum::body::Body as Bytes;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use http_body_util::BodyExt;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::{NewTake, Take, TakeFilter, TakeNote, TakeNoteInput, TakePage};
use tokio::io::{AsyncReadExt, AsyncSeekExt, AsyncWriteExt, SeekFrom};
use tokio_util::io::ReaderStream;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::data::Passing;
use crate::server::extract::{Body, Path, Query};
use crate::server::hearing;
use crate::server::problem::{Answer, Code, Problem};
use crate::server::state::App;

/// Largest file that is taken in.
const MOST_SOUND: usize = 512 << 20;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(takes))
        .routes(routes!(take, change_take, remove_take))
        .routes(routes!(restore_take))
        .routes(routes!(audio))
        .routes(routes!(add_note))
        .routes(routes!(change_note, remove_note))
        .routes(routes!(restore_note))
        .merge(
            OpenApiRouter::new()
                .routes(routes!(send_take))
                .layer(DefaultBodyLimit::max(MOST_SOUND)),
        )
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Filter {
    /// This player's alone.
    player: Option<String>,
    /// Of this exercise alone.
    exercise: Option<String>,
    /// On this instrument alone.
    instrument: Option<String>,
    /// Those that were removed and can be restored.
    #[serde(default)]
    deleted: bool,
    /// How many at most.
    #[param(minimum = 1, maximum = 500)]
    limit: Option<u32>,
    /// Go on after a page: its `next`.
    before: Option<String>,
}

/// Takes, the latest first, by pages.
#[utoipa::path(get, path = "/api/takes", params(Filter), responses(
    (status = 200, body = TakePage),
    (status = 400, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn takes(State(app): State<App>, Query(filter): Query<Filter>) -> Answer<Json<TakePage>> {
    let filter = TakeFilter {
        player: filter.player,
        exercise: filter.exercise,
        instrument: filter.instrument,
        deleted: filter.deleted,
        limit: filter.limit,
        before: filter.before,
    };
    Ok(Json(app.store.takes(&filter).await?))
}

/// A take with all that is known of it.
#[derive(Serialize, ToSchema)]
struct TakeSheet {
    take: Take,
    /// The part that was to be played.
    #[schema(value_type = Option<Object>)]
    part: Option<Value>,
    /// What was heard.
    #[schema(value_type = Option<Object>)]
    report: Option<Value>,
    /// Notes at places in it.
    notes: Vec<TakeNote>,
}

/// One take with its part, its report and the notes in it.
#[utoipa::path(get, path = "/api/takes/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = TakeSheet),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn take(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<TakeSheet>> {
    Ok(Json(TakeSheet {
        take: app.store.take(&id).await?,
        part: app.store.take_part(&id).await?,
        report: app.store.take_report(&id).await?,
        notes: app.store.take_notes(&id).await?,
    }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct About {
    /// Whose take.
    player: Option<String>,
    /// Of which exercise.
    exercise: Option<String>,
    /// On which instrument.
    instrument: String,
    /// Title.
    #[serde(default)]
    title: String,
    /// When it began, Unix milliseconds; now when absent.
    started_ms: Option<i64>,
}

/// Sends in a sound file as a take: WAV, FLAC, MP3, OGG Vorbis, AAC or AIFF.
#[utoipa::path(post, path = "/api/takes", params(About),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"), responses(
    (status = 201, body = Take),
    (status = 400, body = Problem, content_type = "application/problem+json"),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 413, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
    (status = 507, body = Problem, content_type = "application/problem+json"),
))]
async fn send_take(
    State(app): State<App>,
    Query(about): Query<About>,
    body: Bytes,
) -> Answer<(StatusCode, Json<Take>)> {
    super::instruments::find(&app, &about.instrument).await?;
    let asked = super::parts::Asked {
        player: about.player.clone(),
        instrument: about.instrument.clone(),
        exercise: about.exercise.clone(),
        ..super::parts::Asked::default()
    };
    let part = super::parts::part_to_play(&app, asked).await?;
    let passing = spool(&app, body, MOST_SOUND).await?;
    let path = passing.0.clone();
    let sent = app.heavy(move || hearing::decode(&path)).await??;
    drop(passing);
    let title = match &part {
        Some(part) if about.title.is_empty() => part.title.clone(),
        _ => about.title,
    };
    let new = NewTake {
        player: about.player,
        exercise: about.exercise,
        instrument: about.instrument,
        title,
        started_ms: about.started_ms.unwrap_or_else(super::now_ms),
        part: part.map(|part| super::json(&part)).transpose()?,
        origin: Some(sent.origin),
    };
    let take = app.store.add_take(&new, sent.sound).await?;
    super::hear_take(&app, &take.id).await?;
    let take = app.store.take(&take.id).await?;
    Ok((StatusCode::CREATED, Json(take)))
}

impl App {
    /// A fresh name for a file that passes through; no part of it comes from a request.
    pub(super) fn passing_path(&self, extension: &str) -> PathBuf {
        use std::sync::atomic::{AtomicU64, Ordering};
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("passing-{}-{number}.{extension}", std::process::id());
        self.store
            .folder()
            .root()
            .join(studio::folder::JOURNALS)
            .join(name)
    }
}

/// Writes a body to a file that goes away by itself, so that memory does not grow with it.
pub(super) async fn spool(app: &App, mut body: Bytes, most: usize) -> Answer<Passing> {
    let passing = Passing(app.passing_path("part"));
    let on_disk = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
            Problem::new(Code::DiskFull, "no room left on the disk")
        }
        _ => {
            crate::server::note_fault(&error);
            Problem::new(Code::Internal, "the file could not be written")
        }
    };
    let mut file = tokio::fs::File::create(&passing.0).await.map_err(on_disk)?;
    let mut size = 0;
    while let Some(frame) = body.frame().await {
        let frame = frame
            .map_err(|_| Problem::new(Code::Timeout, "the body broke off or came too slowly"))?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        size += data.len();
        if size > most {
            return Err(Problem::new(Code::TooLarge, "the file is too large"));
        }
        file.write_all(&data).await.map_err(on_disk)?;
    }
    file.flush().await.map_err(on_disk)?;
    if size == 0 {
        return Err(Problem::unprocessable(
            "the body is empty: send the file itself",
        ));
    }
    Ok(passing)
}

/// Streams a passing file, which goes away when it is sent or the client is gone.
pub(super) async fn file_of(passing: Passing) -> Answer<(Bytes, u64)> {
    let file = open(&passing.0).await?;
    let length = file.1;
    // On Unix the open file lives on without its name.
    drop(passing);
    Ok((Bytes::from_stream(ReaderStream::new(file.0)), length))
}

async fn open(path: &std::path::Path) -> Answer<(tokio::fs::File, u64)> {
    let opened = async {
        let file = tokio::fs::File::open(path).await?;
        let length = file.metadata().await?.len();
        Ok::<_, std::io::Error>((file, length))
    };
    opened.await.map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(Code::Internal, "a file could not be read")
    })
}

#[derive(Deserialize, ToSchema)]
struct Change {
    /// A new title.
    title: Option<String>,
    /// Another player.
    player: Option<String>,
    /// Another exercise.
    exercise: Option<String>,
}

/// Changes title, player or exercise of a take; what is left out stays.
#[utoipa::path(patch, path = "/api/takes/{id}", params(("id" = String, Path)),
    request_body = Change, responses(
    (status = 200, body = Take),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn change_take(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(change): Body<Change>,
) -> Answer<Json<Take>> {
    if let Some(player) = &change.player {
        app.store.player(player).await?;
    }
    let (title, player) = (change.title.as_deref(), change.player.as_deref());
    let exercise = change.exercise.as_deref();
    Ok(Json(
        app.store.change_take(&id, title, player, exercise).await?,
    ))
}

/// Removes a take; it can be restored.
#[utoipa::path(delete, path = "/api/takes/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn remove_take(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    app.store.remove_take(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed take back.
#[utoipa::path(post, path = "/api/takes/{id}/restore", params(("id" = String, Path)), responses(
    (status = 200, body = Take),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn restore_take(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Take>> {
    Ok(Json(app.store.restore_take(&id).await?))
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
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 416, body = Problem, content_type = "application/problem+json"),
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

/// Adds a note at a place in a take.
#[utoipa::path(post, path = "/api/takes/{id}/notes", params(("id" = String, Path)),
    request_body = TakeNoteInput, responses(
    (status = 201, body = TakeNote),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn add_note(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(about): Body<TakeNoteInput>,
) -> Answer<(StatusCode, Json<TakeNote>)> {
    let note = app.store.add_take_note(&id, &about).await?;
    Ok((StatusCode::CREATED, Json(note)))
}

/// Changes a note.
#[utoipa::path(put, path = "/api/takes/{id}/notes/{note}",
    params(("id" = String, Path), ("note" = String, Path)),
    request_body = TakeNoteInput, responses(
    (status = 200, body = TakeNote),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn change_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
    Body(about): Body<TakeNoteInput>,
) -> Answer<Json<TakeNote>> {
    Ok(Json(app.store.change_take_note(&id, &note, &about).await?))
}

/// Removes a note; it can be restored.
#[utoipa::path(delete, path = "/api/takes/{id}/notes/{note}",
    params(("id" = String, Path), ("note" = String, Path)), responses(
    (status = 204),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn remove_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
) -> Answer<StatusCode> {
    app.store.remove_take_note(&id, &note).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed note back.
#[utoipa::path(post, path = "/api/takes/{id}/notes/{note}/restore",
    params(("id" = String, Path), ("note" = String, Path)), responses(
    (status = 200, body = TakeNote),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn restore_note(
    State(app): State<App>,
    Path((id, note)): Path<(String, String)>,
) -> Answer<Json<TakeNote>> {
    Ok(Json(app.store.restore_take_note(&id, &note).await?))
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
