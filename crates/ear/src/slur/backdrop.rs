//! What sounds at each frequency beside the curve that is looked for: noise, what no curve
//! explains, what rings on from the notes before the two, and the old note's echo.

use crate::slur::blocks::Powers;
use crate::slur::scene::Side;
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
    /// Noise, what no curve explains and what rings on.
    noise: f32,
    /// The old note's echo at full strength.
    echo: f32,
}

impl Backdrop {
    /// Of two notes, up to `top_hz`; a window answers within `window_hz` of a tone. `ringing` is what is
    /// heard of the new note's harmonics while the old one still sounds.
    pub(super) fn new(
        old: &Side,
        new: &Side,
        ringing: &Powers,
        top_hz: f64,
        window_hz: f64,
    ) -> Self {
        // Harmonics that the old note has too say nothing of what rings on.
        let own = |index: usize| {
            let hz = (index + 1) as f64 * new.hz;
            let nearest = (hz / old.hz).round().max(1.0) * old.hz;
            (hz - nearest).abs() > t::SLUR_OWN_WINDOWS * window_hz
        };
        let ringing: Powers =
            std::array::from_fn(|i| ringing.get(i).copied().filter(|_| own(i)).unwrap_or(0.0));
        let bin = |k: usize| {
            let hz = k as f64 * BIN_HZ;
            Bin {
                noise: (noise(old, new, hz)
                    + t::SLUR_RINGING * beside(new.hz, &ringing, hz, window_hz))
                    as f32,
                echo: beside(old.hz, &old.power, hz, window_hz) as f32,
            }
        };
        let count = (top_hz / BIN_HZ) as usize + 2;
        Self {
            bins: (0..count).map(bin).collect(),
        }
    }

    /// Power at a frequency, and what the whole of the echo would add.
    #[inline(always)]
    pub(super) fn at(&self, hz: f32) -> (f32, f32) {
        let bin = self.bins.get((hz * (1.0 / BIN_HZ as f32)) as u32 as usize);
        bin.map_or((1.0, 0.0), |bin| (bin.noise, bin.echo))
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

/// What is heard at a frequency of the harmonics of `of_hz`.
fn beside(of_hz: f64, powers: &Powers, hz: f64, window_hz: f64) -> f64 {
    let order = hz / of_hz;
    [order.floor(), order.ceil()]
        .iter()
        .map(|m| {
            let index = (*m as usize).checked_sub(1);
            let power = index.and_then(|i| powers.get(i)).copied();
            let away = (hz - m * of_hz) / window_hz;
            power.unwrap_or(0.0) / (1.0 + away * away).powi(2)
        })
        .sum()
}
