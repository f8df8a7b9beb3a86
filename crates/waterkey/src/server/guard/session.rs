//! Sessions: a signed cookie, and a token that only this server's page can read.
//!
//! Nothing is kept in memory: the cookie holds when the session began and a signature
//! (HMAC-SHA-256, RFC 2104) under a key of the data folder, so a session lives through a restart.
//! The token is a second signature of the same session. A page of another site can make the
//! browser send the cookie, but can neither read the token nor set its header.

use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::server::problem::{Code, Problem};

/// The header that carries the token.
pub(crate) const TOKEN_HEADER: &str = "x-waterkey-token";
const COOKIE: &str = "waterkey";
/// How long a session lasts: thirty days.
const LASTS_S: u64 = 30 * 86_400;

/// Signs and checks sessions.
#[derive(Clone)]
pub(crate) struct Sessions {
    key: [u8; 32],
    /// The hash of the passphrase, part of every signature: a new passphrase ends all sessions.
    passphrase_hash: Option<String>,
}

/// A session as its cookie says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Session {
    /// When it began and whether the passphrase was given: what is signed.
    value: String,
    /// Whether the passphrase was given.
    signed_in: bool,
}

impl Sessions {
    /// Sessions under a key, with a passphrase to be given or without.
    pub(crate) fn new(key: [u8; 32], passphrase_hash: Option<String>) -> Self {
        Self {
            key,
            passphrase_hash,
        }
    }

    /// The hash of the passphrase, if one must be given.
    pub(crate) fn passphrase_hash(&self) -> Option<&str> {
        self.passphrase_hash.as_deref()
    }

    /// A session that begins now.
    pub(crate) fn begin(&self, passphrase_given: bool) -> Session {
        let nonce = now_s();
        let signed_in = passphrase_given || self.passphrase_hash.is_none();
        Session {
            value: format!("{nonce}-{}", if signed_in { "in" } else { "out" }),
            signed_in,
        }
    }

    /// The session of a request, if its cookie is one of ours and not too old.
    pub(crate) fn of(&self, headers: &HeaderMap) -> Option<Session> {
        self.of_at(headers, now_s())
    }

    fn of_at(&self, headers: &HeaderMap, now_s: u64) -> Option<Session> {
        let cookie = headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .find_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='))?;
        let (value, signature) = cookie.split_once('.')?;
        if !self.is_signature("cookie", value, signature) {
            return None;
        }
        let (began, state) = value.split_once('-')?;
        let age = now_s.checked_sub(began.parse().ok()?);
        // A clock that was set back makes a session seem to begin later; that is no reason to end it.
        age.is_none_or(|age| age < LASTS_S).then(|| Session {
            value: value.into(),
            signed_in: state == "in",
        })
    }

    /// Whether a session may ask for data.
    pub(crate) fn is_signed_in(&self, session: Option<&Session>) -> bool {
        self.passphrase_hash.is_none() || session.is_some_and(|session| session.signed_in)
    }

    /// The token of a session.
    pub(crate) fn token(&self, session: &Session) -> String {
        hexadecimal(&self.mac("token", &session.value).finalize().into_bytes())
    }

    /// Whether a request carries the token of its session.
    pub(crate) fn has_token(&self, session: &Session, headers: &HeaderMap) -> bool {
        headers
            .get(TOKEN_HEADER)
            .and_then(|token| token.to_str().ok())
            .is_some_and(|token| self.is_signature("token", &session.value, token))
    }

    /// The `Set-Cookie` header of a session.
    pub(crate) fn cookie(&self, session: &Session) -> HeaderValue {
        let signature = hexadecimal(&self.mac("cookie", &session.value).finalize().into_bytes());
        let text = format!(
            "{COOKIE}={}.{signature}; Path=/; Max-Age={LASTS_S}; HttpOnly; SameSite=Strict",
            session.value
        );
        HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static("waterkey="))
    }

    /// The `Set-Cookie` header that ends a session.
    pub(crate) fn end() -> HeaderValue {
        HeaderValue::from_static("waterkey=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict")
    }

    fn mac(&self, purpose: &str, value: &str) -> Hmac<Sha256> {
        // HMAC takes keys of any length, so this never falls back.
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.key)
            .unwrap_or_else(|_| Hmac::<Sha256>::new(&Default::default()));
        for part in [
            purpose,
            self.passphrase_hash.as_deref().unwrap_or(""),
            value,
        ] {
            mac.update(part.as_bytes());
            mac.update(&[0]);
        }
        mac
    }

    fn is_signature(&self, purpose: &str, value: &str, signature: &str) -> bool {
        // Compared in constant time.
        bytes(signature).is_some_and(|bytes| self.mac(purpose, value).verify_slice(&bytes).is_ok())
    }
}

fn now_s() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs())
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn bytes(hexadecimal: &str) -> Option<Vec<u8>> {
    (hexadecimal.len() == 64 && hexadecimal.is_ascii())
        .then(|| {
            (0..64)
                .step_by(2)
                .map(|at| u8::from_str_radix(hexadecimal.get(at..at + 2)?, 16).ok())
                .collect()
        })
        .flatten()
}

/// Asks for the passphrase where one is set, and for the token where something is to change.
pub(crate) async fn check_session(
    State(sessions): State<Arc<Sessions>>,
    request: Request,
    next: Next,
) -> Response {
    let session = sessions.of(request.headers());
    let path = request.uri().path();
    let at_the_door = matches!(path, "/api/session" | "/api/health");
    if !at_the_door && !sessions.is_signed_in(session.as_ref()) {
        return Problem::new(
            Code::Unauthorized,
            "give the passphrase to POST /api/session",
        )
        .into_response();
    }
    if !request.method().is_safe() {
        let fits = session.is_some_and(|session| sessions.has_token(&session, request.headers()));
        if !fits {
            return Problem::new(
                Code::CsrfToken,
                format!(
                    "GET /api/session gives a cookie and a token; send both, the token as {TOKEN_HEADER}"
                ),
            )
            .into_response();
        }
    }
    next.run(request).await
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(sessions: &Sessions, session: &Session) -> HeaderMap {
        let cookie = sessions.cookie(session);
        let pair = cookie.to_str().unwrap().split(';').next().unwrap();
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, format!("other=1; {pair}").parse().unwrap());
        let token = sessions.token(session).parse().unwrap();
        headers.insert(TOKEN_HEADER, token);
        headers
    }

    #[test]
    fn a_session_is_known_again_and_a_forged_one_is_not() {
        let sessions = Sessions::new([7; 32], None);
        let session = sessions.begin(false);
        let headers = with(&sessions, &session);
        assert_eq!(sessions.of(&headers), Some(session.clone()));
        assert!(sessions.has_token(&session, &headers));
        let others = Sessions::new([8; 32], None);
        assert_eq!(others.of(&headers), None);
        assert!(!others.has_token(&session, &headers));
        for bad in ["waterkey=", "waterkey=1-in.00", "waterkey=1-in.zz", "x"] {
            let mut headers = HeaderMap::new();
            headers.insert(header::COOKIE, bad.parse().unwrap());
            assert_eq!(sessions.of(&headers), None);
        }
    }

    #[test]
    fn a_clock_that_is_set_back_ends_no_session_and_one_set_on_ends_it_when_it_is_old() {
        let sessions = Sessions::new([7; 32], None);
        let session = sessions.begin(false);
        let headers = with(&sessions, &session);
        for (now, known) in [
            (0, true),
            (now_s() - 86_400, true),
            (now_s() + LASTS_S / 2, true),
            (now_s() + 2 * LASTS_S, false),
            (u64::MAX, false),
        ] {
            assert_eq!(sessions.of_at(&headers, now).is_some(), known, "at {now}");
        }
    }

    #[test]
    fn with_a_passphrase_only_those_who_gave_it_are_in_and_a_new_one_ends_all() {
        let sessions = Sessions::new([7; 32], Some("hash".into()));
        let (out, inside) = (sessions.begin(false), sessions.begin(true));
        assert!(!sessions.is_signed_in(None) && !sessions.is_signed_in(Some(&out)));
        assert!(sessions.is_signed_in(Some(&inside)));
        let changed = Sessions::new([7; 32], Some("other".into()));
        assert_eq!(changed.of(&with(&sessions, &inside)), None);
    }
}
