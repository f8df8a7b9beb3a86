//! The change that explains a scene best, with and without a partial held between.

use crate::slur::change::{Change, Hold, Shape};
use crate::slur::edges::Edges;
use crate::slur::scene::{Room, Scene};
use crate::thresholds as t;

/// What was fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The best eased curve without a hold.
    pub glide: Change,
    /// The best curve with a hold, if there is anything to hold on.
    pub held: Option<Change>,
    /// Index of the held candidate.
    pub candidate: usize,
    /// By how much the curve with a hold is more likely than any without, nats.
    pub gain: f64,
    /// Standard uncertainty of the glide's length, seconds.
    pub glide_uncertainty_s: f64,
}

impl Fit {
    /// Moves both curves.
    pub fn earlier(&mut self, by_s: f64) {
        self.glide.middle_s -= by_s;
        if let Some(held) = &mut self.held {
            held.middle_s -= by_s;
        }
    }
}

/// Glides that the search begins from, seconds.
const GLIDES: [f64; 4] = [0.012, 0.024, 0.040, 0.064];
/// The glide that the place is first looked for with, seconds.
const COARSE_GLIDE: f64 = 0.035;
/// A straight glide is this much shorter than the eased one that lies nearest to it.
const STRAIGHT: f64 = 0.75;
/// A hold that is this much less likely than a glide where it is tried first stays so, nats: of 330 holds in
/// a hall (tuning seeds 11 to 13) none that began more than 20 below came to 8 above.
const HOPELESS: f64 = 25.0;
/// A parabola's top nearer than this share of a step is not asked for.
const LEAST_LEAN: f64 = 0.1;
const SHORTEST: f64 = 0.004;
const LONGEST: f64 = 0.110;

/// A hill climb over parameters with shrinking steps. Where a step to neither side is better, the top of the
/// parabola through the three is tried, for all such parameters at once.
fn climb<const N: usize>(
    start: [f64; N],
    mut steps: [f64; N],
    rounds: usize,
    mut score: impl FnMut(&[f64; N]) -> f64,
) -> ([f64; N], f64) {
    let mut best = start;
    let mut value = score(&best);
    for _ in 0..rounds {
        let mut leans = [0.0; N];
        for (k, (lean, step)) in leans.iter_mut().zip(steps).enumerate() {
            let mut beside = |by: f64| {
                let mut moved = best;
                if let Some(x) = moved.get_mut(k) {
                    *x += by;
                }
                (moved, score(&moved))
            };
            let ahead = beside(step);
            if ahead.1 > value {
                (best, value) = ahead;
                continue;
            }
            let behind = beside(-step);
            if behind.1 > value {
                (best, value) = behind;
                continue;
            }
            let bend = 2.0 * value - ahead.1 - behind.1;
            if bend > 0.0 {
                *lean = 0.5 * step * (ahead.1 - behind.1) / bend;
            }
        }
        if leans
            .iter()
            .zip(&steps)
            .any(|(lean, step)| lean.abs() > LEAST_LEAN * step)
        {
            let mut moved = best;
            moved.iter_mut().zip(leans).for_each(|(x, lean)| *x += lean);
            let now = score(&moved);
            if now > value {
                (best, value) = (moved, now);
            }
        }
        steps.iter_mut().for_each(|s| *s *= 0.5);
    }
    (best, value)
}

/// Fits a scene whose change has its middle within `search` (seconds) and goes by `edges`; `between` are the
/// pitches that may be caught.
pub fn fit(
    scene: &mut Scene,
    edges: &Edges,
    search: (f64, f64),
    between: &[f64],
    room: Room,
) -> Fit {
    let hunt = Hunt::new(scene.pitches(), search);
    // How likely a change is by the sound, and by when each note's own harmonics go and come.
    let worth = |scene: &Scene, change: &Change| {
        scene.likelihood(change) + edges.agreement(change, room.echo)
    };
    let mut start = (f64::MIN, search.0, COARSE_GLIDE);
    scene.set_dying(f64::midpoint(search.0, search.1), room);
    let steps = ((search.1 - search.0) / 0.012).ceil().max(1.0) as i32;
    for k in 0..=steps {
        let middle = search.0 + f64::from(k) * 0.012;
        let value = worth(scene, &hunt.glide(middle, COARSE_GLIDE));
        if value > start.0 {
            start = (value, middle, COARSE_GLIDE);
        }
    }
    scene.set_dying(start.1 - t::SLUR_LEAVES_S, room);
    start.0 = f64::MIN;
    let rough = start.1;
    for k in -4..=4 {
        for length in GLIDES {
            let middle = rough + f64::from(k) * 0.005;
            let value = worth(scene, &hunt.glide(middle, length));
            if value > start.0 {
                start = (value, middle, length);
            }
        }
    }
    scene.set_dying(start.1 - t::SLUR_LEAVES_S, room);
    let scene = &*scene;
    hunt.settle((start.1, start.2), between, |change| worth(scene, change))
}

/// What is looked for: a change between two pitches whose middle lies between two times.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hunt {
    old_hz: f64,
    new_hz: f64,
    first_s: f64,
    last_s: f64,
}

impl Hunt {
    pub(super) fn new((old_hz, new_hz): (f64, f64), (first_s, last_s): (f64, f64)) -> Self {
        Self {
            old_hz,
            new_hz,
            first_s,
            last_s,
        }
    }

    /// An eased glide.
    pub(super) fn glide(&self, middle_s: f64, glide_s: f64) -> Change {
        Change {
            old_hz: self.old_hz,
            new_hz: self.new_hz,
            middle_s: middle_s.clamp(self.first_s, self.last_s),
            glide_s: glide_s.clamp(SHORTEST, LONGEST),
            shape: Shape::Eased,
            hold: None,
        }
    }

    /// A glide to `hz` and so many cents, a hold, a glide on.
    fn held(&self, hz: f64, [middle_s, seconds, glide_s, cents]: [f64; 4]) -> Change {
        let cents = cents.clamp(-t::CAUGHT_BAND_CENTS, t::CAUGHT_BAND_CENTS);
        Change {
            glide_s: glide_s.clamp(SHORTEST, 0.03),
            hold: Some(Hold {
                hz: hz * (cents / 1200.0).exp2(),
                seconds: seconds.clamp(t::CAUGHT_LEAST_S, 0.12),
            }),
            ..self.glide(middle_s, glide_s)
        }
    }

    /// The best glide near a middle and a length.
    fn best_glide(
        &self,
        (middle_s, glide_s): (f64, f64),
        mut worth: impl FnMut(&Change) -> f64,
    ) -> Glide {
        let (best, mut value) = climb([middle_s, glide_s], [0.005, 0.010], 4, |[m, g]| {
            worth(&self.glide(*m, *g))
        });
        let found = self.glide(best[0], best[1]);
        // Echo tells so little of a fast change from a slow one that what is usual must help.
        let (likely, posterior) = [found.glide_s, t::SLUR_USUAL_S]
            .map(|length| {
                let start = [found.middle_s, length];
                climb(start, [0.004, 0.008], 2, |[m, g]| {
                    let now = worth(&self.glide(*m, *g));
                    value = value.max(now);
                    now + usual(*g)
                })
            })
            .into_iter()
            .fold(([0.0; 2], f64::MIN), |a, b| if b.1 > a.1 { b } else { a });
        Glide {
            found,
            value,
            likely: self.glide(likely[0], likely[1]),
            posterior,
        }
    }

    /// The best curve near a middle and a glide, and the best that is held on one of `between`.
    pub(super) fn settle(
        &self,
        start: (f64, f64),
        between: &[f64],
        mut worth: impl FnMut(&Change) -> f64,
    ) -> Fit {
        let mut glide = self.best_glide(start, &mut worth);
        let Glide { found, value, .. } = glide;
        let mut out = Fit {
            glide: glide.likely,
            held: None,
            candidate: 0,
            gain: f64::MIN,
            glide_uncertainty_s: 0.0,
        };
        for (index, hz) in between.iter().enumerate() {
            let mut start = (f64::MIN, 0, 0.0);
            let middle = |k: i32| found.middle_s + f64::from(k) * 0.006;
            let mut look = |k: i32, seconds: f64, best: &mut (f64, i32, f64)| {
                let value = worth(&self.held(*hz, [middle(k), seconds, 0.011, 0.0]));
                if value > best.0 {
                    *best = (value, k, seconds);
                }
            };
            (-3..=3).for_each(|k| look(k, 0.028, &mut start));
            let centre = start.1;
            for seconds in [0.016, 0.042] {
                (centre - 1..=centre + 1).for_each(|k| look(k, seconds, &mut start));
            }
            let begin = [middle(start.1), start.2, 0.011, 0.0];
            let (best, height) = if start.0 < value - HOPELESS {
                (begin, start.0)
            } else {
                climb(begin, [0.005, 0.007, 0.004, 12.0], 3, |held| {
                    worth(&self.held(*hz, *held))
                })
            };
            if height - value > out.gain {
                out.gain = height - value;
                out.held = Some(self.held(*hz, best));
                out.candidate = index;
            }
        }
        if let Some(held) = out.held.filter(|_| out.gain > t::CAUGHT_GAIN) {
            // A glide that was looked for elsewhere may do as well there.
            let length = held.glide_s + held.hold.map_or(0.0, |hold| hold.seconds);
            let there = self.best_glide((held.middle_s, length), &mut worth);
            if there.value > value {
                glide = there;
            }
            // A straight glide dwells longer on what lies between than an eased one: a hold must
            // explain more than that.
            let straight = [STRAIGHT, 1.0].map(|share| {
                let start = [glide.found.middle_s, share * glide.found.glide_s];
                climb(start, [0.004, 0.008], 4, |[m, g]| {
                    worth(&Change {
                        shape: Shape::Straight,
                        ..self.glide(*m, *g)
                    })
                })
                .1
            });
            out.gain -= straight.into_iter().fold(glide.value, f64::max) - value;
        }
        out.glide = glide.likely;
        out.glide_uncertainty_s = curve(&glide.likely, glide.posterior, |change| {
            worth(&change) + usual(change.glide_s)
        });
        out
    }
}

/// A change without a hold.
#[derive(Clone, Copy, Debug)]
struct Glide {
    /// The likeliest by the sound alone, and how likely any that was tried is.
    found: Change,
    value: f64,
    /// The likeliest when what is usual counts, and how likely that is then.
    likely: Change,
    posterior: f64,
}

/// Logarithm of how usual a glide of this length is, nats: log-normal round [`t::SLUR_USUAL_S`].
fn usual(glide_s: f64) -> f64 {
    let away = (glide_s.clamp(SHORTEST, LONGEST) / t::SLUR_USUAL_S).ln() / t::SLUR_USUAL_SPREAD;
    -0.5 * away * away
}

/// Standard uncertainty of a glide's length from the curve of the posterior `at` around its `value`.
fn curve(glide: &Change, value: f64, mut at: impl FnMut(Change) -> f64) -> f64 {
    let step = 0.006;
    let moved = |by: f64| Change {
        glide_s: (glide.glide_s + by).max(SHORTEST),
        ..*glide
    };
    let drop = 2.0 * value - at(moved(step)) - at(moved(-step));
    if drop <= 0.0 {
        0.02
    } else {
        (step / drop.sqrt()).clamp(0.0005, 0.02)
    }
}
