//! What handlers take: body, query and path, refused in the words of the error table.

use axum::extract::rejection::{JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

use super::problem::{Code, Problem};

/// A JSON body.
pub(crate) struct Body<T>(pub(crate) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        match axum::Json::from_request(request, state).await {
            Ok(axum::Json(value)) => Ok(Self(value)),
            Err(JsonRejection::JsonDataError(error)) => {
                Err(Problem::unprocessable(error.body_text()))
            }
            Err(JsonRejection::MissingJsonContentType(_)) => Err(Problem::new(
                Code::UnsupportedMediaType,
                "send the body as content-type: application/json",
            )),
            Err(JsonRejection::BytesRejection(error))
                if error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE =>
            {
                Err(Problem::new(Code::TooLarge, "the body is too large"))
            }
            Err(error) => Err(Problem::new(Code::BadRequest, error.body_text())),
        }
    }
}

/// The query of the address.
pub(crate) struct Query<T>(pub(crate) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Query<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        axum::extract::Query::from_request_parts(parts, state)
            .await
            .map(|axum::extract::Query(value)| Self(value))
            .map_err(|error: QueryRejection| Problem::new(Code::BadRequest, error.body_text()))
    }
}

/// Names in the path of the address.
pub(crate) struct Path<T>(pub(crate) T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Path<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        axum::extract::Path::from_request_parts(parts, state)
            .await
            .map(|axum::extract::Path(value)| Self(value))
            .map_err(|error: PathRejection| Problem::new(Code::BadRequest, error.body_text()))
    }
}
