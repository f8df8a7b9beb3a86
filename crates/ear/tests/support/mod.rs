//! Simulated takes with exact truth, the scores of a hearing against it, and recorded brass.
#![allow(
    dead_code,
    unreachable_pub,
    missing_docs,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::cast_possible_truncation
)]

pub mod brass;
pub mod decays;
pub mod edges;
pub mod random;
pub mod rooms;
pub mod score;
pub mod takes;
pub mod timbre;
