//! Simulated takes with exact truth, and the scores of a hearing against it.
#![allow(dead_code, unreachable_pub, missing_docs, clippy::expect_used)]

pub mod decays;
pub mod edges;
pub mod random;
pub mod rooms;
pub mod score;
pub mod takes;
pub mod timbre;
