//! One take's sound as this crate works on it: mono, full scale 1.0, at any rate.

use std::sync::Arc;

/// Mono samples at a rate; full scale is 1.0. Cheap to clone.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples {
    /// Samples a second.
    pub rate: f64,
    /// The samples.
    pub data: Arc<[f32]>,
}

impl Samples {
    /// Samples at `rate` a second.
    #[must_use]
    pub fn new(rate: f64, data: impl Into<Arc<[f32]>>) -> Self {
        Self {
            rate,
            data: data.into(),
        }
    }

    /// Length in seconds; 0 when the rate is not a positive number.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        if self.rate > 0.0 {
            self.data.len() as f64 / self.rate
        } else {
            0.0
        }
    }

    /// The samples from one time to another, cut to what is there.
    #[must_use]
    pub fn between(&self, from_s: f64, to_s: f64) -> &[f32] {
        let place = |s: f64| ((s * self.rate).round().max(0.0) as usize).min(self.data.len());
        let (from, to) = (place(from_s), place(to_s));
        self.data.get(from..to.max(from)).unwrap_or(&[])
    }
}
