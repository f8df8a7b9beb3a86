//! What sounds at each frequency beside the curve that is looked for: noise, what no curve
//! explains, and the old note's echo.

use crate::slur::scene::{Powers, Side};
use crate::thresholds as t;

/// Width of a bin, hertz.
const BIN_HZ: f64 = 10.0;

/// Powers by frequency.
#[derive(Debug, Default)]
pub(super) struct Backdrop {
    bins: Vec<Bin>,
}

#[derive(Clone, Copy, Debug)]
struct Bin {
    /// Noise and what no curve explains.
    noise: f32,
    /// The old note's echo at full strength.
    echo: f32,
}

impl Backdrop {
    /// Of two notes, up to `top_hz`; a window answers within half `window_hz` of a tone.
    pub(super) fn new(old: &Side, new: &Side, top_hz: f64, window_hz: f64) -> Self {
        let bin = |k: usize| {
            let hz = k as f64 * BIN_HZ;
            Bin {
                noise: noise(old, new, hz) as f32,
                echo: echo(old, hz, window_hz) as f32,
            }
        };
        let count = (top_hz / BIN_HZ) as usize + 2;
        Self {
            bins: (0..count).map(bin).collect(),
        }
    }

    /// Power at a frequency, with so much of the echo.
    pub(super) fn at(&self, hz: f32, echo: f32) -> f32 {
        let bin = self.bins.get((hz / BIN_HZ as f32) as usize);
        bin.map_or(1.0, |bin| bin.noise + echo * bin.echo)
    }
}

fn noise(old: &Side, new: &Side, hz: f64) -> f64 {
    let (o, n) = (hz / old.hz, hz / new.hz);
    let between = |powers: &Powers, place: f64, count: usize| {
        let at = |i: f64| {
            let index = (i.max(0.0) as usize).min(count.saturating_sub(1));
            powers.get(index).copied().unwrap_or(0.0)
        };
        let (a, b) = (at(place.floor()), at(place.floor() + 1.0));
        a + (b - a) * (place - place.floor()).clamp(0.0, 1.0)
    };
    let base =
        between(&old.beside, o - 1.5, old.count).min(between(&new.beside, n - 1.5, new.count));
    let loud = between(&old.power, o - 1.0, old.count).max(between(&new.power, n - 1.0, new.count));
    base + t::SLUR_MODEL_ERROR * loud + 1e-12
}

fn echo(old: &Side, hz: f64, window_hz: f64) -> f64 {
    let order = hz / old.hz;
    [order.floor(), order.ceil()]
        .iter()
        .map(|m| {
            let index = (*m as usize).checked_sub(1);
            let power = index.and_then(|i| old.power.get(i)).copied();
            let away = (hz - m * old.hz) / window_hz;
            power.unwrap_or(0.0) / (1.0 + away * away).powi(2)
        })
        .sum()
}
