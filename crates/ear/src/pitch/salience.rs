//! How well each pitch of the grid explains the spectrum of a moment.
//!
//! A kernel with a raised lobe at the first and the prime harmonics and sunken ones between
//! (Camacho & Harris, J. Acoust. Soc. Am. 124 (2008) 1638): it needs no fundamental and gives
//! nothing to the octave below or to the tube's own fundamental under two mixed partials. Before
//! it is applied, the echo that the sound of 50 ms ago leaves is taken off each bin
//! (Lebart, Boucher & Denbigh, Acta Acustica 87 (2001) 359).

use crate::pitch::grid::Grid;
use crate::signal::{Transform, dot};
use crate::thresholds as t;

/// Harmonics that a kernel has lobes at.
const HARMONICS: [f64; 13] = [1., 2., 3., 5., 7., 11., 13., 17., 19., 23., 29., 31., 37.];
/// The band that pitch is judged on, hertz.
const BAND_HZ: (f64, f64) = (40.0, 5_500.0);
/// Windows a whole number of octaves apart, seconds: the best window of a pitch is 8 periods
/// (Camacho & Harris 2008, eq. 11).
const WINDOWS_S: [f64; 3] = [0.046, 0.093, 0.186];

/// One stretch of a kernel: weights from a bin on.
#[derive(Clone, Debug)]
struct Lobe {
    from: usize,
    weights: Vec<f32>,
}

#[derive(Clone, Debug)]
struct Kernel {
    lobes: Vec<Lobe>,
    /// Share of this window in the pitch's salience (the rest is the next window's).
    share: f32,
    /// Grid index.
    pitch: usize,
}

struct Window {
    transform: Transform,
    kernels: Vec<Kernel>,
    measure: Vec<f32>,
    power: Vec<f32>,
    loud: Vec<f32>,
    past: Vec<Vec<f32>>,
}

/// Salience of one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SalienceFrame {
    /// -1 to 1 for each pitch of the grid.
    pub of_pitch: Vec<f32>,
}

impl SalienceFrame {
    /// The greatest value and its place.
    #[must_use]
    pub fn best(&self) -> (usize, f32) {
        let start = (0, f32::MIN);
        self.of_pitch.iter().enumerate().fold(
            start,
            |best, (i, s)| {
                if *s > best.1 { (i, *s) } else { best }
            },
        )
    }

    /// Greatest value within `reach` steps of a place, a cost per step squared taken off.
    #[must_use]
    pub fn near(&self, place: f64, reach: f64, cost: f32) -> f32 {
        let from = (place - reach).ceil().max(0.0) as usize;
        let to = ((place + reach).floor().max(-1.0) + 1.0) as usize;
        let slice = self
            .of_pitch
            .get(from..to.min(self.of_pitch.len()))
            .unwrap_or(&[]);
        slice.iter().enumerate().fold(-1.0, |best, (i, s)| {
            let away = ((from + i) as f64 - place) as f32;
            f32::max(best, s - cost * away * away)
        })
    }
}

/// Computes the salience frame by frame; buffers are made once.
pub struct Salience {
    grid: Grid,
    windows: Vec<Window>,
    count: usize,
}

impl std::fmt::Debug for Salience {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Salience")
            .field("grid", &self.grid)
            .finish_non_exhaustive()
    }
}

impl Salience {
    /// For sound at a working rate.
    #[must_use]
    pub fn new(rate: f64) -> Self {
        let grid = Grid::new(rate);
        let windows = WINDOWS_S.iter().enumerate().map(|(w, seconds)| {
            let size = 1_usize << (seconds * rate).log2().round().clamp(5.0, 15.0) as u32;
            Window::new(size, rate, grid, w)
        });
        Self {
            grid,
            windows: windows.collect(),
            count: 0,
        }
    }

    /// The grid of pitches.
    #[must_use]
    pub fn grid(&self) -> Grid {
        self.grid
    }

    /// An empty frame of the right size.
    #[must_use]
    pub fn frame(&self) -> SalienceFrame {
        SalienceFrame {
            of_pitch: vec![0.0; self.grid.count()],
        }
    }

    /// Samples that the longest window reaches past its centre.
    #[must_use]
    pub fn reach(&self) -> usize {
        self.windows
            .iter()
            .map(|w| w.transform.size() / 2)
            .max()
            .unwrap_or(0)
    }

    /// The salience of the moment centred on sample `centre`; call at even steps of
    /// [`t::COARSE_STEP_S`], in order.
    pub fn look(&mut self, sound: &[f32], centre: isize, frame: &mut SalienceFrame) {
        frame.of_pitch.fill(0.0);
        for window in &mut self.windows {
            window.look(sound, centre, self.count, &mut frame.of_pitch);
        }
        self.count += 1;
    }
}

impl Window {
    fn new(size: usize, rate: f64, grid: Grid, index: usize) -> Self {
        let transform = Transform::new(size);
        let step = rate / size as f64;
        let top = (BAND_HZ.1.min(0.42 * rate) / step) as usize;
        // Steps even on the ear's rate scale (Glasberg & Moore, Hear. Res. 47 (1990) 103):
        // each bin counts for its width there.
        let measure: Vec<f32> = (0..top)
            .map(|k| {
                let hz = k as f64 * step;
                if hz < BAND_HZ.0 * 0.5 {
                    0.0
                } else {
                    (step / (1.0 + hz / 229.0)) as f32
                }
            })
            .collect();
        let mut kernels = Vec::new();
        for pitch in 0..grid.count() {
            let hz = grid.hz(pitch as f64);
            let share = share(hz, size as f64 / rate, index);
            if share > 0.0 {
                kernels.push(Kernel {
                    lobes: lobes(hz, step, &measure),
                    share,
                    pitch,
                });
            }
        }
        Self {
            transform,
            kernels,
            power: vec![0.0; top],
            loud: vec![0.0; top],
            past: vec![vec![0.0; top]; t::ECHO_FRAMES],
            measure,
        }
    }

    fn look(&mut self, sound: &[f32], centre: isize, count: usize, out: &mut [f32]) {
        self.transform.look(sound, centre);
        self.transform.powers(&mut self.power);
        let slot = count % self.past.len().max(1);
        let Some(past) = self.past.get_mut(slot) else {
            return;
        };
        for ((power, past), loud) in self.power.iter().zip(past).zip(&mut self.loud) {
            let left = (power - t::ECHO_SHARE * *past).max(t::ECHO_FLOOR * power);
            *past = *power;
            *loud = left.sqrt();
        }
        let norm = dot(&self.loud, &self.measure);
        if norm <= 1e-12 {
            return;
        }
        self.loud.iter_mut().for_each(|x| *x = x.sqrt());
        let scale = norm.sqrt().recip();
        for kernel in &self.kernels {
            let lobe = |lobe: &Lobe| dot(self.loud.get(lobe.from..).unwrap_or(&[]), &lobe.weights);
            let sum: f32 = kernel.lobes.iter().map(lobe).sum();
            if let Some(slot) = out.get_mut(kernel.pitch) {
                *slot += kernel.share * sum * scale;
            }
        }
    }
}

/// Share of window `index` (of this many seconds) in the salience of a pitch.
fn share(hz: f64, seconds: f64, index: usize) -> f32 {
    let octaves = (8.0 / hz / seconds).log2();
    let last = WINDOWS_S.len() - 1;
    let share = match index {
        0 if octaves <= 0.0 => 1.0,
        i if i == last && octaves >= 0.0 => 1.0,
        _ => 1.0 - octaves.abs(),
    };
    share.max(0.0) as f32
}

fn lobes(hz: f64, step: f64, measure: &[f32]) -> Vec<Lobe> {
    // Weight of a place `q` (in harmonics): lobes of the first and the prime harmonics.
    let weight = |q: f64| -> f64 {
        HARMONICS
            .iter()
            .map(|p| {
                let away = (q - p).abs();
                let wave = (std::f64::consts::TAU * q).cos();
                match away {
                    a if a < 0.25 => wave,
                    a if a < 0.75 => wave / 2.0,
                    _ => 0.0,
                }
            })
            .sum()
    };
    let raw: Vec<f64> = measure
        .iter()
        .enumerate()
        .map(|(k, m)| {
            let at_hz = k as f64 * step;
            if at_hz <= 0.0 || *m <= 0.0 {
                return 0.0;
            }
            weight(at_hz / hz) * (hz / at_hz).sqrt()
        })
        .collect();
    let norm: f64 = raw
        .iter()
        .zip(measure)
        .map(|(w, m)| w.max(0.0).powi(2) * f64::from(*m))
        .sum::<f64>()
        .sqrt()
        .max(1e-9);
    // Stretches closer to each other than a dot product's lanes are kept as one.
    let mut lobes: Vec<Lobe> = Vec::new();
    for (k, (w, m)) in raw.iter().zip(measure).enumerate() {
        if *w == 0.0 {
            continue;
        }
        let value = (w * f64::from(*m) / norm) as f32;
        match lobes.last_mut() {
            Some(lobe) if k - lobe.from < lobe.weights.len() + 8 => {
                lobe.weights.resize(k - lobe.from, 0.0);
                lobe.weights.push(value);
            }
            _ => lobes.push(Lobe {
                from: k,
                weights: vec![value],
            }),
        }
    }
    lobes
}
