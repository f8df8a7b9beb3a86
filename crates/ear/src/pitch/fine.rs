//! The fine pitch of a moment: least squares over the reassigned frequencies of its harmonics.
//!
//! Each harmonic `n` gives its own estimate of the fundamental, `nu_n / n`, with a variance that
//! follows from its power over the noise beside it; the weighted mean is the least-squares fit of
//! a harmonic comb (Quinn & Thomson, Biometrika 78 (1991) 65, for harmonics known to be whole).

use pulp::NullaryFnOnce;

use crate::signal::{Rates, Transform, wide};

/// Periods that a window must hold, so that neighbouring harmonics stand five bins apart.
const PERIODS: f64 = 5.0;
/// Shortest window, seconds.
const SHORTEST_S: f64 = 0.022;
/// Most harmonics that are used.
const HARMONICS: usize = 20;
/// Highest frequency that is used, hertz.
const TOP_HZ: f64 = 6_000.0;
/// The same as a share of the rate.
const TOP_SHARE: f64 = 0.42;
/// A harmonic may lie this far from the others' common pitch, cents.
const TOLERANCE: f64 = 40.0;
/// The same where the pitch is known to a few cents.
const NEAR: f64 = 15.0;
/// Power over noise counts as no more than this: it is the player or the room who varies.
const TRUST: f32 = 3.0e3;
/// What a player's unsteadiness and a lossy file's coding leave beside the harmonics, as a share of
/// the strongest one's power (-45 dB). In a recorded horn note the strongest harmonic's pitch
/// spreads by 0.8 cent, that of one 50 dB below it by 15 cents. Without this the weak high harmonics,
/// which count by the square of their number, lead the pitch of recorded notes astray by up to 4.4
/// cents; with it none of 47 is off by 2.3. Tried 0, 1e-5, 3e-5, 1e-4 with trust in 3e2 to 3e4 on
/// tuning seeds 11 and 12 too: pitch in echo is as without it, in noise no worse.
const UNSTEADY: f32 = 3.0e-5;

/// A fitted pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FineFit {
    /// Fundamental, hertz.
    pub hz: f64,
    /// Standard uncertainty from the noise, cents.
    pub cents_uncertainty: f64,
    /// Share of the power around the harmonics that is the harmonics' own: 0 to 1.
    pub periodicity: f64,
}

/// Fits pitches; makes its buffers once.
#[derive(Debug)]
pub struct Fine {
    rate: f64,
    transforms: Vec<Transform>,
    /// The same windows at half the rate.
    halved: Vec<Transform>,
    /// Power of the bins that a pitch's harmonics lie in.
    powers: Vec<f32>,
}

impl Fine {
    /// For sound at a working rate.
    #[must_use]
    pub fn new(rate: f64) -> Self {
        let longest = PERIODS / crate::pitch::grid::LOWEST_HZ * rate;
        let mut sizes = Vec::new();
        let mut size = ((SHORTEST_S * rate) as usize).next_power_of_two().max(64);
        loop {
            sizes.push(size);
            if size as f64 >= longest {
                break;
            }
            sizes.push(size + size / 2);
            size *= 2;
        }
        let transforms: Vec<Transform> = sizes.iter().map(|size| Transform::new(*size)).collect();
        let longest = transforms.last().map_or(0, Transform::bins);
        Self {
            rate,
            transforms,
            halved: sizes.iter().map(|size| Transform::new(size / 2)).collect(),
            powers: vec![0.0; longest],
        }
    }

    /// The window used for a pitch, seconds.
    #[must_use]
    pub fn window_s(&self, hz: f64) -> f64 {
        let need = PERIODS / hz * self.rate;
        let fits = self.transforms.iter().find(|t| t.size() as f64 >= need);
        let size = fits.or(self.transforms.last()).map_or(1, Transform::size);
        size as f64 / self.rate
    }

    /// Fits the pitch near `guess_hz` around sample `centre`; `None` when no harmonic stands out.
    pub fn fit(&mut self, sound: Rates<'_>, centre: isize, guess_hz: f64) -> Option<FineFit> {
        self.look(sound, centre, guess_hz, |seen| wide(Twice(seen, guess_hz)))
    }

    /// As [`Fine::fit`] where the pitch is known to a few cents.
    pub fn fit_near(&mut self, sound: Rates<'_>, centre: isize, guess_hz: f64) -> Option<FineFit> {
        self.look(sound, centre, guess_hz, |seen| {
            seen.comb(guess_hz, HARMONICS, NEAR)
        })
    }

    /// Looks at the moment around sample `centre` as a pitch near `guess_hz` asks for.
    fn look(
        &mut self,
        sound: Rates<'_>,
        centre: isize,
        guess_hz: f64,
        fit: impl FnOnce(Seen<'_>) -> Option<FineFit>,
    ) -> Option<FineFit> {
        if !(guess_hz > 0.0 && guess_hz < self.rate / 3.0) {
            return None;
        }
        let need = PERIODS / guess_hz * self.rate;
        let last = self.transforms.len().checked_sub(1)?;
        let index = self
            .transforms
            .iter()
            .position(|t| t.size() as f64 >= need)
            .unwrap_or(last);
        let highest = (HARMONICS as f64 + 2.0) * guess_hz;
        // Where half the rate holds all harmonics that are used, it tells the same.
        let (transform, rate) = if highest < TOP_SHARE * self.rate / 2.0 {
            let transform = self.halved.get_mut(index)?;
            transform.look(sound.halved, centre.div_euclid(2));
            (transform, self.rate / 2.0)
        } else {
            let transform = self.transforms.get_mut(index)?;
            transform.look(sound.whole, centre);
            (transform, self.rate)
        };
        let step = rate / transform.size() as f64;
        let top = TOP_HZ.min(TOP_SHARE * rate);
        let bins = (highest.min(top + guess_hz) / step) as usize + 3;
        let bins = bins.min(transform.bins()).min(self.powers.len());
        let powers = self.powers.get_mut(..bins)?;
        transform.powers_of(powers);
        let seen = Seen {
            transform,
            powers,
            step,
            top,
        };
        fit(seen)
    }
}

/// The fit of the lower harmonics near a guess, then of all near that.
struct Twice<'a>(Seen<'a>, f64);

impl NullaryFnOnce for Twice<'_> {
    type Output = Option<FineFit>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self(seen, guess_hz) = self;
        let rough = seen.comb(guess_hz, HARMONICS / 2, TOLERANCE)?;
        seen.comb(rough.hz, HARMONICS, TOLERANCE / 2.0)
            .or(Some(rough))
    }
}

/// A moment's spectrum.
struct Seen<'a> {
    transform: &'a Transform,
    powers: &'a [f32],
    /// Hertz from bin to bin.
    step: f64,
    /// Highest frequency that is used, hertz.
    top: f64,
}

impl Seen<'_> {
    #[inline(always)]
    fn power(&self, bin: usize) -> f32 {
        self.powers.get(bin).copied().unwrap_or(0.0)
    }

    /// Mean power of the three bins around a place.
    #[inline(always)]
    fn around(&self, place: f64) -> f32 {
        let k = place.round().max(1.0) as usize;
        (self.power(k - 1) + self.power(k) + self.power(k + 1)) / 3.0
    }

    /// The fit of a comb of at most so many harmonics within `tolerance` cents of `hz`.
    #[inline(always)]
    fn comb(&self, hz: f64, most: usize, tolerance: f64) -> Option<FineFit> {
        let step = self.step;
        let count = ((self.top / hz) as usize).clamp(1, most);
        let strongest = (1..=count)
            .map(|n| self.around(n as f64 * hz / step))
            .fold(0.0, f32::max);
        let wider = (tolerance / 1200.0).exp2() - 1.0;
        let (mut sum, mut weights, mut signal, mut noise) = (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64);
        let mut current = hz;
        for n in 1..=count {
            let order = n as f64;
            let place = order * current / step;
            let slack = place * wider;
            let (low, high) = (place - slack.min(1.5), place + slack.min(1.5));
            let (from, to) = (
                low.round().max(1.0) as usize,
                high.round().max(1.0) as usize,
            );
            let mut best = (from, 0.0_f32);
            for k in from..=to {
                let p = self.power(k);
                if p > best.1 {
                    best = (k, p);
                }
            }
            let beside = 0.5 * current / step;
            let floor = self.around(place - beside).min(self.around(place + beside));
            signal += f64::from(best.1);
            noise += f64::from(floor.min(best.1));
            let floor = floor + UNSTEADY * strongest;
            if best.1 <= floor * 4.0 || best.1 <= 0.0 {
                continue;
            }
            let nu = f64::from(self.transform.reassigned(best.0));
            if (nu - place).abs() > slack.max(0.3) + 0.7 {
                continue;
            }
            let weight = f64::from(best.1 / (floor + best.1 / TRUST));
            sum += weight * order * nu * step;
            weights += weight * order * order;
            current = sum / weights;
        }
        if weights <= 0.0 {
            return None;
        }
        // Variance of a reassigned frequency through a Hann window: bins^2 / (6 SNR).
        let deviation = step * (1.0 / (6.0 * weights)).sqrt();
        Some(FineFit {
            hz: current,
            cents_uncertainty: 1200.0 / std::f64::consts::LN_2 * deviation / current,
            periodicity: (1.0 - noise / signal.max(1e-30)).clamp(0.0, 1.0),
        })
    }
}
