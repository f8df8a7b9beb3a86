//! A change of pitch as a curve of few parameters: a glide, or two glides with a partial held
//! between them. A glide is a raised cosine in log frequency, or straight.

use crate::slur::turn::eased;

/// A partial held on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Its frequency.
    pub hz: f64,
    /// How long it is held, seconds.
    pub seconds: f64,
}

/// How a glide goes from one pitch to the other in log frequency.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shape {
    /// A raised cosine.
    #[default]
    Eased,
    /// Evenly.
    Straight,
}

impl Shape {
    /// Share of the way that is done at a share of the time.
    #[inline(always)]
    fn way(self, time: f64) -> f64 {
        let x = time.clamp(0.0, 1.0);
        match self {
            Self::Eased => eased(x),
            Self::Straight => x,
        }
    }

    /// Share of the time after which a share of the way (no more than half) is done.
    fn time(self, way: f64) -> f64 {
        let y = way.clamp(0.0, 1.0);
        match self {
            Self::Eased => (1.0 - 2.0 * y).acos() / std::f64::consts::PI,
            Self::Straight => y,
        }
    }
}

/// A change from one pitch to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Pitch left, hertz.
    pub old_hz: f64,
    /// Pitch entered, hertz.
    pub new_hz: f64,
    /// Middle of the change, seconds.
    pub middle_s: f64,
    /// Length of the glide (of each of the two glides with a hold), seconds.
    pub glide_s: f64,
    /// How each glide goes.
    pub shape: Shape,
    /// The partial held, if any.
    pub hold: Option<Hold>,
}

/// A change as a curve to be followed: its logarithms are taken once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    change: Change,
    /// From the old pitch to the new one, octaves.
    whole: f64,
    /// From the old pitch to the one held, octaves, and how long it is held, seconds.
    held: Option<(f64, f64)>,
}

impl Curve {
    /// How far the pitch has gone from the old one at a time, octaves.
    #[inline(always)]
    fn octaves(&self, at_s: f64) -> f64 {
        let t = at_s - self.change.from_s();
        let glide_s = self.change.glide_s.max(1e-6);
        let ease = |t: f64| self.change.shape.way(t / glide_s);
        match self.held {
            None => self.whole * ease(t),
            Some((octaves, seconds)) => {
                let second = t - self.change.glide_s - seconds;
                octaves * ease(t) + (self.whole - octaves) * ease(second)
            }
        }
    }

    /// The pitch at a time, hertz, and the share of the way that it has gone: 0 to 1.
    #[must_use]
    #[inline(always)]
    pub fn at(&self, at_s: f64) -> (f64, f64) {
        let octaves = self.octaves(at_s);
        let gone = if self.whole == 0.0 {
            1.0
        } else {
            (octaves / self.whole).clamp(0.0, 1.0)
        };
        (self.change.old_hz * octaves.exp2(), gone)
    }
}

impl Change {
    /// When it starts.
    #[must_use]
    pub fn from_s(&self) -> f64 {
        self.middle_s - self.seconds() / 2.0
    }

    /// When it ends.
    #[must_use]
    pub fn to_s(&self) -> f64 {
        self.middle_s + self.seconds() / 2.0
    }

    /// How long it lasts.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.hold
            .map_or(self.glide_s, |h| 2.0 * self.glide_s + h.seconds)
    }

    /// The curve, made ready to be followed.
    #[must_use]
    pub fn curve(&self) -> Curve {
        Curve {
            change: *self,
            whole: (self.new_hz / self.old_hz).log2(),
            held: self.hold.map(|h| ((h.hz / self.old_hz).log2(), h.seconds)),
        }
    }

    /// The pitch at a time, hertz.
    #[must_use]
    pub fn hz(&self, at_s: f64) -> f64 {
        self.curve().at(at_s).0
    }

    /// When the pitch is last within `band` cents of the old note and first within `band` cents
    /// of the new one; both the middle of the change when the two bands touch.
    #[must_use]
    pub fn crossing(&self, band: f64) -> (f64, f64) {
        let first = self.hold.map_or(self.new_hz, |h| h.hz);
        let last = self.hold.map_or(self.old_hz, |h| h.hz);
        let lead = |a: f64, b: f64| {
            let away = (1200.0 * (b / a).log2()).abs();
            self.glide_s * self.shape.time(band / away.max(1e-9))
        };
        let left = self.from_s() + lead(self.old_hz, first);
        let entered = self.to_s() - lead(self.new_hz, last);
        if left < entered {
            (left, entered)
        } else {
            (self.middle_s, self.middle_s)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_glide_goes_from_pitch_to_pitch_through_their_mean() {
        for shape in [Shape::Eased, Shape::Straight] {
            let change = Change {
                old_hz: 200.0,
                new_hz: 300.0,
                middle_s: 1.0,
                glide_s: 0.04,
                shape,
                hold: None,
            };
            assert!((change.hz(0.9) - 200.0).abs() < 1e-9);
            assert!((change.hz(1.1) - 300.0).abs() < 1e-9);
            assert!((change.hz(1.0) - (200.0_f64 * 300.0).sqrt()).abs() < 1e-9);
            let (left, entered) = change.crossing(30.0);
            assert!((1200.0 * (change.hz(left) / 200.0).log2() - 30.0).abs() < 1e-6);
            assert!((1200.0 * (300.0 / change.hz(entered)).log2() - 30.0).abs() < 1e-6);
        }
    }

    #[test]
    fn a_hold_stays() {
        let hold = Some(Hold {
            hz: 250.0,
            seconds: 0.03,
        });
        let change = Change {
            old_hz: 200.0,
            new_hz: 300.0,
            middle_s: 1.0,
            glide_s: 0.01,
            shape: Shape::Eased,
            hold,
        };
        assert!((change.seconds() - 0.05).abs() < 1e-12);
        assert!((change.hz(0.99) - 250.0).abs() < 1e-9);
        assert!((change.hz(1.01) - 250.0).abs() < 1e-9);
    }
}
