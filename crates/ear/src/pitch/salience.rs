//! How well each pitch of the grid explains the spectrum of a moment.
//!
//! A kernel with a raised lobe at the first and the prime harmonics and sunken ones between
//! (Camacho & Harris, J. Acoust. Soc. Am. 124 (2008) 1638): it needs no fundamental and gives
//! nothing to the octave below or to the tube's own fundamental under two mixed partials. Before
//! it is applied, the echo that the sound of 50 ms ago leaves is taken off each bin
//! (Lebart, Boucher & Denbigh, Acta Acustica 87 (2001) 359).

use pulp::NullaryFnOnce;

use crate::pitch::grid::Grid;
use crate::pitch::lobes::Bank;
use crate::signal::{LANES, Rates, Transform, dot, wide};
use crate::thresholds as t;

/// The band that pitch is judged on, hertz.
const BAND_HZ: (f64, f64) = (40.0, 5_500.0);
/// The highest frequency that is looked at, as a share of the rate.
const TOP_SHARE: f64 = 0.42;
/// Windows a whole number of octaves apart, seconds: the best window of a pitch is 8 periods
/// (Camacho & Harris 2008, eq. 11).
const WINDOWS_S: [f64; 3] = [0.046, 0.093, 0.186];

/// Windows from this one on are looked at in the sound at half the rate, where that reaches far enough: they judge
/// pitches of 172 Hz and less, whose kernels have hardly a lobe above it ...
const HALVED_FROM: usize = 1;
/// ... (hertz that it must reach to).
const HALVED_TOP_HZ: f64 = 4_000.0;
/// Moments that are looked at together in a file.
pub const TOGETHER: usize = 4;

struct Window {
    /// True when it looks at the sound at half the rate.
    halved: bool,
    transform: Transform,
    bank: Bank,
    measure: Vec<f32>,
    power: Vec<f32>,
    /// Of each moment as long as `power` and some zeros, so that a lobe's last lanes never pass its
    /// end.
    loud: [Vec<f32>; TOGETHER],
    past: Vec<Vec<f32>>,
    echo: Vec<f32>,
    keep: f32,
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
        let windows = WINDOWS_S.iter().enumerate().map(|(index, seconds)| {
            let halved = index >= HALVED_FROM && TOP_SHARE * rate / 2.0 > HALVED_TOP_HZ;
            let rate = if halved { rate / 2.0 } else { rate };
            let size = 1_usize << (seconds * rate).log2().round().clamp(5.0, 15.0) as u32;
            Window::new(size, (rate, halved), grid, index)
        });
        Self {
            grid,
            windows: windows.collect(),
            count: 0,
        }
    }

    /// Holds each bin's echo from frame to frame as in a room of this reverberation time, seconds.
    pub fn hold_echo(&mut self, rt60_s: f64) {
        let keep = 10_f64.powf(-6.0 * t::COARSE_STEP_S / rt60_s.max(1e-3));
        for window in &mut self.windows {
            window.keep = keep as f32;
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
            .map(|w| w.transform.size() / if w.halved { 1 } else { 2 })
            .max()
            .unwrap_or(0)
    }

    /// The salience of the moment centred on sample `centre`; call at even steps of
    /// [`t::COARSE_STEP_S`], in order.
    pub fn look(&mut self, sound: Rates<'_>, centre: isize, frame: &mut SalienceFrame) {
        self.look_at(sound, [centre], [frame]);
    }

    /// As [`Salience::look`], at most [`TOGETHER`] successive moments at once, which takes less time.
    pub fn look_at<const N: usize>(
        &mut self,
        sound: Rates<'_>,
        centres: [isize; N],
        mut frames: [&mut SalienceFrame; N],
    ) {
        for frame in &mut frames {
            frame.of_pitch.fill(0.0);
        }
        for window in &mut self.windows {
            let out = frames.each_mut().map(|f| f.of_pitch.as_mut_slice());
            window.look(sound, centres, self.count, out);
        }
        self.count += N;
    }
}

impl Window {
    fn new(size: usize, (rate, halved): (f64, bool), grid: Grid, index: usize) -> Self {
        let transform = Transform::new(size);
        let step = rate / size as f64;
        let top = (BAND_HZ.1.min(TOP_SHARE * rate) / step) as usize;
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
        let mut bank = Bank::default();
        for pitch in 0..grid.count() {
            let hz = grid.hz(pitch as f64);
            let share = share(hz, size as f64 / rate, index);
            if share > 0.0 {
                bank.add(pitch, share, hz, step, &measure);
            }
        }
        Self {
            halved,
            transform,
            bank,
            power: vec![0.0; top],
            loud: std::array::from_fn(|_| vec![0.0; top + LANES]),
            past: vec![vec![0.0; top]; t::ECHO_FRAMES],
            echo: vec![0.0; top],
            keep: 0.0,
            measure,
        }
    }

    /// Adds to the salience of successive moments, the first of them of this number.
    fn look<const N: usize>(
        &mut self,
        sound: Rates<'_>,
        centres: [isize; N],
        first: usize,
        out: [&mut [f32]; N],
    ) {
        let mut scales = [0.0; N];
        let moments = centres.iter().zip(&mut scales).zip(&mut self.loud);
        for (number, ((centre, scale), loud)) in (first..).zip(moments) {
            if self.halved {
                self.transform.look(sound.halved, centre.div_euclid(2));
            } else {
                self.transform.look(sound.whole, *centre);
            }
            let slot = number % self.past.len().max(1);
            let Some(past) = self.past.get_mut(slot) else {
                return;
            };
            *scale = wide(Loudness {
                transform: &self.transform,
                measure: &self.measure,
                power: &mut self.power,
                past,
                echo: &mut self.echo,
                keep: self.keep,
                loud,
            });
        }
        if scales.iter().all(|scale| *scale == 0.0) {
            return;
        }
        let values = std::array::from_fn(|i| self.loud.get(i).map_or(&[][..], Vec::as_slice));
        self.bank.explain(values, scales, out);
    }
}

/// The loudness of each bin, its echo taken off.
struct Loudness<'a> {
    transform: &'a Transform,
    measure: &'a [f32],
    power: &'a mut [f32],
    past: &'a mut [f32],
    echo: &'a mut [f32],
    keep: f32,
    loud: &'a mut [f32],
}

impl NullaryFnOnce for Loudness<'_> {
    /// What brings a moment's loudness to 1; 0 in silence.
    type Output = f32;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.transform.powers(self.power);
        let held = self.echo.iter_mut().zip(&mut *self.loud);
        for ((power, past), (echo, loud)) in self.power.iter().zip(self.past).zip(held) {
            *echo = (self.keep * *echo).max(*past);
            let left = (power - t::ECHO_SHARE * *echo).max(t::ECHO_FLOOR * power);
            *past = *power;
            *loud = left.sqrt();
        }
        let norm = dot(self.loud, self.measure);
        if norm <= 1e-12 {
            return 0.0;
        }
        self.loud.iter_mut().for_each(|x| *x = x.sqrt());
        norm.sqrt().recip()
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
