//! The time of day and fresh names: the only place of this crate that asks the machine for either.

use std::time::{SystemTime, UNIX_EPOCH};

/// Unix milliseconds UTC; 0 for a clock set before 1970.
pub(crate) fn now_ms() -> i64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .ok()
        .and_then(|since| i64::try_from(since.as_millis()).ok())
        .unwrap_or(0)
}

/// A fresh identifier (UUID version 7, RFC 9562): sorts by the time it was made.
pub(crate) fn fresh_id() -> String {
    uuid::Uuid::now_v7().simple().to_string()
}
