//! The one table from what went wrong to what the client is told (RFC 9457).

use std::collections::BTreeMap;

use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::openapi::content::ContentBuilder;
use utoipa::openapi::{Ref, RefOr, ResponseBuilder};
use utoipa::{IntoResponses, ToSchema};

/// The content type of every refusal.
const PROBLEM: &str = "application/problem+json";

/// Shorthand for what handlers give.
pub(crate) type Answer<T> = Result<T, Problem>;

/// What kind of thing went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Code {
    /// Nothing is there under this name.
    NotFound,
    /// The request does not read.
    BadRequest,
    /// The request reads, but what it says cannot be.
    Unprocessable,
    /// Sign in with the passphrase first.
    Unauthorized,
    /// The request came from another site.
    ForbiddenOrigin,
    /// The token is missing or stale.
    CsrfToken,
    /// The server does not answer to this name.
    ForbiddenHost,
    /// The way is right, the method is not.
    MethodNotAllowed,
    /// The body is too large.
    TooLarge,
    /// Too many requests in a short time.
    TooManyRequests,
    /// The body came too slowly.
    Timeout,
    /// The content type is not one that is taken here.
    UnsupportedMediaType,
    /// It is there already, or not the user's own.
    Conflict,
    /// The asked stretch of a file is not there.
    RangeNotSatisfiable,
    /// Another program holds the database for the moment.
    Busy,
    /// No room on the disk.
    DiskFull,
    /// This build of the program cannot do it.
    #[cfg_attr(feature = "engrave", allow(dead_code))]
    NotBuilt,
    /// A fault of the program.
    Internal,
}

impl Code {
    /// Every kind, as it stands above.
    const ALL: [Self; 18] = [
        Self::NotFound,
        Self::BadRequest,
        Self::Unprocessable,
        Self::Unauthorized,
        Self::ForbiddenOrigin,
        Self::CsrfToken,
        Self::ForbiddenHost,
        Self::MethodNotAllowed,
        Self::TooLarge,
        Self::TooManyRequests,
        Self::Timeout,
        Self::UnsupportedMediaType,
        Self::Conflict,
        Self::RangeNotSatisfiable,
        Self::Busy,
        Self::DiskFull,
        Self::NotBuilt,
        Self::Internal,
    ];

    /// The table: status and title of each code.
    const fn row(self) -> (StatusCode, &'static str) {
        use StatusCode as S;
        match self {
            Self::NotFound => (S::NOT_FOUND, "Not found"),
            Self::BadRequest => (S::BAD_REQUEST, "The request does not read"),
            Self::Unprocessable => (S::UNPROCESSABLE_ENTITY, "That cannot be"),
            Self::Unauthorized => (S::UNAUTHORIZED, "Sign in first"),
            Self::ForbiddenOrigin => (S::FORBIDDEN, "Not from another site"),
            Self::CsrfToken => (S::FORBIDDEN, "The session token is missing or stale"),
            Self::ForbiddenHost => (S::MISDIRECTED_REQUEST, "Not under this name"),
            Self::MethodNotAllowed => (S::METHOD_NOT_ALLOWED, "Not by this method"),
            Self::TooLarge => (S::PAYLOAD_TOO_LARGE, "Too large"),
            Self::TooManyRequests => (S::TOO_MANY_REQUESTS, "Too many requests"),
            Self::Timeout => (S::REQUEST_TIMEOUT, "Too slow"),
            Self::UnsupportedMediaType => (S::UNSUPPORTED_MEDIA_TYPE, "Not this content type"),
            Self::Conflict => (S::CONFLICT, "It is there already"),
            Self::RangeNotSatisfiable => (S::RANGE_NOT_SATISFIABLE, "No such stretch"),
            Self::Busy => (S::SERVICE_UNAVAILABLE, "Busy for the moment"),
            Self::DiskFull => (S::INSUFFICIENT_STORAGE, "No room on the disk"),
            Self::NotBuilt => (S::NOT_IMPLEMENTED, "Not in this build"),
            Self::Internal => (S::INTERNAL_SERVER_ERROR, "A fault in the program"),
        }
    }
}

/// How grave a diagnostic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Severity {
    /// It cannot be used so.
    Error,
    /// It can, but look at it.
    Warning,
}

/// One remark on a text that someone wrote.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct Diagnostic {
    /// How grave.
    pub(crate) severity: Severity,
    /// What.
    pub(crate) message: String,
    /// Line, from 1.
    pub(crate) line: Option<usize>,
    /// Column, from 1.
    pub(crate) column: Option<usize>,
    /// What to do about it.
    pub(crate) help: Option<String>,
}

/// An answer that something went wrong.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Problem {
    /// Always `about:blank`: `code` tells the kinds apart.
    #[serde(rename = "type")]
    kind: &'static str,
    /// The kind in words.
    title: &'static str,
    /// The status.
    status: u16,
    /// The kind.
    code: Code,
    /// What, where, and what to do.
    detail: String,
    /// Remarks on a text, if it was about one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    diagnostics: Vec<Diagnostic>,
    #[serde(skip)]
    retry_after_s: Option<u64>,
}

impl Problem {
    /// A problem of a kind.
    pub(crate) fn new(code: Code, detail: impl Into<String>) -> Self {
        let (status, title) = code.row();
        Self {
            kind: "about:blank",
            title,
            status: status.as_u16(),
            code,
            detail: detail.into(),
            diagnostics: Vec::new(),
            retry_after_s: (code == Code::Busy).then_some(1),
        }
    }

    /// A problem with remarks on a text.
    pub(crate) fn with_diagnostics(
        detail: impl Into<String>,
        diagnostics: Vec<Diagnostic>,
    ) -> Self {
        Self {
            diagnostics,
            ..Self::new(Code::Unprocessable, detail)
        }
    }

    /// The same, to be tried again after this many seconds.
    pub(crate) fn retry_after(self, seconds: u64) -> Self {
        Self {
            retry_after_s: Some(seconds),
            ..self
        }
    }

    /// Nothing is there under this name.
    pub(crate) fn not_found(what: &str, id: &str) -> Self {
        let id: String = id.chars().take(80).collect();
        Self::new(Code::NotFound, format!("there is no {what} `{id}`"))
    }

    /// What was said cannot be.
    pub(crate) fn unprocessable(detail: impl Into<String>) -> Self {
        Self::new(Code::Unprocessable, detail)
    }

    /// The kind.
    pub(crate) const fn code(&self) -> Code {
        self.code
    }

    /// What, where, and what to do.
    pub(crate) fn detail(&self) -> &str {
        &self.detail
    }
}

/// In the description of a way: it may refuse with this status.
pub(crate) struct Refuses<const STATUS: u16>;

impl<const STATUS: u16> IntoResponses for Refuses<STATUS> {
    fn responses() -> BTreeMap<String, RefOr<utoipa::openapi::Response>> {
        let kinds = Code::ALL.iter().map(|code| code.row());
        let titles: Vec<&str> = kinds
            .filter(|(status, _)| status.as_u16() == STATUS)
            .map(|(_, title)| title)
            .collect();
        let problem = ContentBuilder::new()
            .schema(Some(Ref::from_schema_name("Problem")))
            .build();
        let response = ResponseBuilder::new()
            .description(titles.join("; "))
            .content(PROBLEM, problem)
            .build();
        BTreeMap::from([(STATUS.to_string(), response.into())])
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let retry_after = self.retry_after_s;
        let mut response = (status, Json(self)).into_response();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(PROBLEM));
        if let Some(seconds) = retry_after {
            headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}

impl From<studio::Error> for Problem {
    fn from(error: studio::Error) -> Self {
        use studio::Error as E;
        let code = match &error {
            E::NotFound { .. } => Code::NotFound,
            E::Invalid { .. } => Code::Unprocessable,
            E::Conflict(_) | E::InUse { .. } => Code::Conflict,
            E::Busy => Code::Busy,
            E::DiskFull { .. } => Code::DiskFull,
            _ => Code::Internal,
        };
        if code == Code::Internal {
            super::note_fault(&error);
            // Paths and SQL stay on this side.
            return match error {
                E::Damaged { .. } => Self::new(code, "a kept file is damaged; run the doctor"),
                _ => Self::new(
                    code,
                    "a fault in the program or the disk; its log says more",
                ),
            };
        }
        if code == Code::DiskFull {
            return Self::new(
                code,
                "no room left on the disk; free some space and try again",
            );
        }
        Self::new(code, error.to_string())
    }
}

impl From<tokio::task::JoinError> for Problem {
    fn from(error: tokio::task::JoinError) -> Self {
        super::note_fault(&error);
        Self::new(Code::Internal, "a task of the program did not end")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_is_described_by_the_titles_of_its_status() {
        let described = |responses: BTreeMap<String, RefOr<utoipa::openapi::Response>>| {
            let said = responses
                .into_iter()
                .map(|(status, response)| match response {
                    RefOr::T(response) => format!("{status}: {}", response.description),
                    RefOr::Ref(_) => status,
                });
            said.collect::<Vec<_>>()
        };
        assert_eq!(
            described(Refuses::<403>::responses()),
            ["403: Not from another site; The session token is missing or stale"]
        );
        assert_eq!(described(Refuses::<404>::responses()), ["404: Not found"]);
    }
}
