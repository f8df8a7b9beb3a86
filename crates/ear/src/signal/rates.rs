//! The working sound at two rates.

/// The working sound and the same at half its rate.
#[derive(Clone, Copy, Debug)]
pub struct Rates<'a> {
    /// At the working rate.
    pub whole: &'a [f32],
    /// Every second sample, what lies above half the rate taken off; sample `m` is centred on sample `2 m`.
    pub halved: &'a [f32],
}
