//! How often one address may ask.

use std::net::{IpAddr, SocketAddr};
use std::num::NonZeroU32;
use std::sync::Arc;

use axum::extract::{ConnectInfo, Request, State};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use governor::clock::{Clock, DefaultClock};
use governor::state::keyed::HashMapStateStore;
use governor::{Quota, RateLimiter};

use crate::server::problem::{Answer, Code, Problem};

type Limiter = RateLimiter<IpAddr, HashMapStateStore<IpAddr>, DefaultClock>;

/// Requests a second from one address: a slider that asks at each of 60 pictures a second for
/// three things, twice over.
const A_SECOND: u32 = 400;
/// Requests at once: a page that loads all its parts, some times over.
const AT_ONCE: u32 = 1200;
/// Tries of the passphrase a minute from one address.
const TRIES_A_MINUTE: u32 = 5;

/// The buckets of all addresses.
pub(crate) struct Rates {
    requests: Limiter,
    tries: Limiter,
}

impl Rates {
    /// Full buckets.
    pub(crate) fn new() -> Self {
        let number = |n: u32| NonZeroU32::new(n).unwrap_or(NonZeroU32::MIN);
        Self {
            requests: RateLimiter::hashmap(
                Quota::per_second(number(A_SECOND)).allow_burst(number(AT_ONCE)),
            ),
            tries: RateLimiter::hashmap(Quota::per_minute(number(TRIES_A_MINUTE))),
        }
    }

    /// One try of the passphrase.
    pub(crate) fn try_passphrase(&self, from: IpAddr) -> Answer<()> {
        check(&self.tries, from)
    }

    /// Forgets addresses whose buckets are full again.
    pub(crate) fn sweep(&self) {
        self.requests.retain_recent();
        self.tries.retain_recent();
    }
}

fn check(limiter: &Limiter, from: IpAddr) -> Answer<()> {
    limiter.check_key(&from).map_err(|until| {
        let wait = until.wait_time_from(DefaultClock::default().now());
        Problem::new(
            Code::TooManyRequests,
            "too many requests from this address; wait a little",
        )
        .retry_after(wait.as_secs() + 1)
    })
}

/// Refuses an address that asks too often.
pub(crate) async fn check_rate(
    State(rates): State<Arc<Rates>>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    request: Request,
    next: Next,
) -> Response {
    match check(&rates.requests, from.ip()) {
        Ok(()) => next.run(request).await,
        Err(problem) => problem.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bucket_empties_for_one_address_alone() {
        let rates = Rates::new();
        let (one, other) = (IpAddr::from([10, 0, 0, 1]), IpAddr::from([10, 0, 0, 2]));
        for _ in 0..TRIES_A_MINUTE {
            rates.try_passphrase(one).unwrap();
        }
        assert_eq!(
            rates.try_passphrase(one).unwrap_err().code(),
            Code::TooManyRequests
        );
        rates.try_passphrase(other).unwrap();
    }
}
