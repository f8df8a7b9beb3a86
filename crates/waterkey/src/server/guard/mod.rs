//! Who may ask what: every request passes these guards before a handler sees it.

mod headers;
mod host;
mod origin;
mod passphrase;
mod rate;
mod session;

pub(crate) use headers::harden;
pub(crate) use host::{Names, check_host};
pub(crate) use origin::check_origin;
pub(crate) use passphrase::{fits, hash};
pub(crate) use rate::{Rates, check_rate};
pub(crate) use session::{Session, Sessions, check_session};
