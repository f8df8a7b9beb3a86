//! Takes away a constant offset without touching the lowest pedal note.

/// Corner of the high-pass, hertz: ten times below the lowest tuba pedal (29 Hz), where it takes
/// 0.04 dB.
const CORNER_HZ: f64 = 3.0;

/// A first-order high-pass that holds its state from block to block.
///
/// `y[n] = x[n] - x[n-1] + r y[n-1]` with `r = exp(-2 pi f / rate)`: the usual DC blocker (J. O.
/// Smith, *Introduction to Digital Filters*, 2007, "DC blocker").
#[derive(Clone, Debug)]
pub struct DcBlocker {
    r: f64,
    x: f64,
    y: f64,
    started: bool,
}

impl DcBlocker {
    /// A blocker for samples at `rate` a second.
    #[must_use]
    pub fn new(rate: f64) -> Self {
        Self {
            r: (-std::f64::consts::TAU * CORNER_HZ / rate).exp(),
            x: 0.0,
            y: 0.0,
            started: false,
        }
    }

    /// Filters a block in place. The first sample is taken as the offset, so that a take that
    /// begins at an offset does not begin with a thump.
    pub fn run(&mut self, block: &mut [f32]) {
        if let (false, Some(first)) = (self.started, block.first()) {
            self.x = f64::from(*first);
            self.started = true;
        }
        for sample in block {
            let x = f64::from(*sample);
            self.y = x - self.x + self.r * self.y;
            self.x = x;
            *sample = self.y as f32;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offset_goes_and_a_pedal_note_stays() {
        let rate = 8_000.0;
        let mut data: Vec<f32> = (0..32_000)
            .map(|n| 0.3 + 0.1 * (std::f64::consts::TAU * 29.0 * f64::from(n) / rate).sin() as f32)
            .collect();
        DcBlocker::new(rate).run(&mut data);
        let tail = &data[16_000..];
        let mean = tail.iter().map(|x| f64::from(*x)).sum::<f64>() / tail.len() as f64;
        let rms =
            (tail.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / tail.len() as f64).sqrt();
        assert!(mean.abs() < 1e-3, "{mean}");
        assert!((20.0 * (rms / (0.1 / 2.0_f64.sqrt())).log10()).abs() < 0.06);
    }
}
