//! The names this server answers to: a foreign name that resolves here is a DNS-rebinding attack.

use std::net::IpAddr;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::server::problem::{Code, Problem};

/// The names.
#[derive(Clone, Debug)]
pub(crate) struct Names {
    network: bool,
    named: Vec<String>,
}

impl Names {
    /// `localhost`, loopback addresses, and, open to the network, any address and these names.
    pub(crate) fn new(network: bool, named: &[String]) -> Self {
        Self {
            network,
            named: named.iter().map(|name| name.to_ascii_lowercase()).collect(),
        }
    }

    /// Whether a `Host` header names this server. An address in digits cannot be rebound: the
    /// browser sends what stands in its address bar.
    pub(crate) fn answer_to(&self, host: &str) -> bool {
        let name = without_port(host).to_ascii_lowercase();
        let digits = name.trim_start_matches('[').trim_end_matches(']');
        if let Ok(address) = digits.parse::<IpAddr>() {
            return self.network || address.is_loopback();
        }
        name == "localhost" || (self.network && self.named.contains(&name))
    }
}

fn without_port(host: &str) -> &str {
    match host.rsplit_once(':') {
        // The colons of a bare IPv6 address lie within brackets.
        Some((name, port)) if port.bytes().all(|c| c.is_ascii_digit()) => name,
        _ => host,
    }
}

/// Refuses requests under a name that is not this server's.
pub(crate) async fn check_host(
    State(names): State<Arc<Names>>,
    request: Request,
    next: Next,
) -> Response {
    let host = request
        .headers()
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .or_else(|| {
            request
                .uri()
                .authority()
                .map(axum::http::uri::Authority::as_str)
        });
    if host.is_some_and(|host| names.answer_to(host)) {
        return next.run(request).await;
    }
    Problem::new(
        Code::ForbiddenHost,
        "this server answers to localhost and to the names given with --host",
    )
    .into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_own_names_are_answered() {
        let own = Names::new(false, &["studio.local".into()]);
        for good in [
            "localhost",
            "LOCALHOST:7373",
            "127.0.0.1:1",
            "[::1]:80",
            "127.9.9.9",
        ] {
            assert!(own.answer_to(good), "{good}");
        }
        for bad in [
            "evil.example",
            "localhost.evil.example",
            "192.168.1.4",
            "studio.local",
            "",
        ] {
            assert!(!own.answer_to(bad), "{bad}");
        }
        let open = Names::new(true, &["Studio.local".into()]);
        assert!(open.answer_to("192.168.1.4:7373") && open.answer_to("studio.local:7373"));
        assert!(!open.answer_to("evil.example"));
    }
}
