//! The player's own sound in a change, as bands hear it.

use num_complex::Complex64;
use pulp::NullaryFnOnce;

use crate::signal::{LANES, wide};
use crate::slur::Change;
use crate::slur::hall::bands::{FINE, Grain, WINDOW_S};
use crate::thresholds as t;

/// Seconds of a fine step, on which a change's sound is followed.
const FINE_S: f64 = WINDOW_S / FINE as f64;
/// Most that a harmonic's frequency may lie off a band to be followed in it, hertz: half of the rate of the
/// fine step less what the window hears.
const FOLLOWED_HZ: f64 = 150.0;

/// Complex values, real and imaginary parts apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    pub(super) re: Vec<f32>,
    pub(super) im: Vec<f32>,
}

impl Row {
    /// So many zeros.
    fn nothing(length: usize) -> Self {
        Self {
            re: vec![0.0; length],
            im: vec![0.0; length],
        }
    }

    /// Sets a value that there is room for.
    fn set(&mut self, place: usize, z: Complex64) {
        if let Some((re, im)) = self.re.get_mut(place).zip(self.im.get_mut(place)) {
            (*re, *im) = (z.re as f32, z.im as f32);
        }
    }
}

/// One change on the fine steps. First come the first of each hop, then the second of each, and so on: a
/// window is then a sum of whole rows, each moved by some values.
#[derive(Clone, Debug)]
pub(super) struct Sung {
    /// Time of each fine step, one after the other.
    times: Vec<f64>,
    values: usize,
    /// Fine steps from one value to the next.
    hop: usize,
    /// Fine steps of the same place in their hops, filled up.
    plane: usize,
    hz: Vec<f32>,
    /// Share of the way that is done.
    gone: Vec<f32>,
    /// Amplitude as the change dips it; none beside the fine steps.
    level: Vec<f32>,
    /// Each harmonic as a phasor, the fundamental first.
    harmonics: Vec<Row>,
    /// The weight of each fine step of a window.
    window: Vec<f32>,
    one: Row,
    amplitude: Vec<f32>,
    heard: Row,
}

/// One harmonic and the band that it is heard in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Harmonic<'a> {
    pub(super) order: usize,
    /// Amplitude in the old note and in the new one.
    pub(super) amplitudes: (f32, f32),
    pub(super) band_hz: f64,
    /// Turns the band's frequency back, see [`Sung::turns`].
    pub(super) back: &'a Row,
}

impl Sung {
    /// Room for the sound that bands hear at these times, of so many harmonics.
    pub(super) fn new(times: &[f64], grain: Grain, harmonics: usize) -> Self {
        let (values, hop) = (times.len(), grain.hop());
        let first = times.first().map_or(0.0, |first| first - WINDOW_S / 2.0);
        let fine = values.saturating_sub(1) * hop + FINE;
        let plane = (values + FINE.div_ceil(hop)).next_multiple_of(LANES) + LANES;
        let none = vec![0.0; plane * hop];
        let row = Row::nothing(plane * hop);
        let window = (0..FINE).map(|place| {
            let turn = std::f64::consts::TAU * (place as f64 + 0.5) / FINE as f64;
            ((1.0 - turn.cos()) / FINE as f64) as f32
        });
        Self {
            times: (0..fine)
                .map(|step| first + (step as f64 + 0.5) * FINE_S)
                .collect(),
            values,
            hop,
            plane,
            harmonics: vec![row.clone(); harmonics.max(1)],
            window: window.collect(),
            one: row,
            heard: Row::nothing(values.next_multiple_of(LANES)),
            hz: none.clone(),
            gone: none.clone(),
            level: none.clone(),
            amplitude: none,
        }
    }

    /// Where a fine step stands.
    fn place(&self, step: usize) -> usize {
        step % self.hop * self.plane + step / self.hop
    }

    /// How a tone turns, as the fine steps stand.
    pub(super) fn turns(&self, hz: f64) -> Row {
        let mut out = Row::nothing(self.plane * self.hop);
        for (step, at) in self.times.iter().enumerate() {
            let z = Complex64::cis(std::f64::consts::TAU * (hz * at).fract());
            out.set(self.place(step), z);
        }
        out
    }

    /// Follows another change.
    pub(super) fn follow(&mut self, change: &Change) {
        let curve = change.curve();
        let (from_s, to_s) = (change.from_s(), change.to_s());
        let reach = change.seconds() / 2.0 + t::HALL_DIP_REACH_S;
        let (mut phasor, mut turn, mut of) = (Complex64::ONE, Complex64::ONE, f64::NAN);
        for step in 0..self.times.len() {
            let at = self.times.get(step).copied().unwrap_or(0.0);
            // Most steps lie before the change or after it, where nothing moves.
            let (hz, gone) = if at <= from_s {
                (change.old_hz, 0.0)
            } else if at >= to_s {
                (change.new_hz, 1.0)
            } else {
                curve.at(at)
            };
            if hz != of {
                turn = Complex64::cis(std::f64::consts::TAU * hz * FINE_S);
                of = hz;
            }
            phasor *= turn;
            let away = (at - change.middle_s) / reach;
            let dip = if away.abs() < 5.0 {
                t::HALL_DIP * (-away * away).exp()
            } else {
                0.0
            };
            let place = self.place(step);
            for (row, value) in [
                (&mut self.hz, hz),
                (&mut self.gone, gone),
                (&mut self.level, 1.0 - dip),
            ] {
                if let Some(slot) = row.get_mut(place) {
                    *slot = value as f32;
                }
            }
            if let Some(first) = self.harmonics.first_mut() {
                first.set(place, phasor);
            }
        }
        if let Some((first, others)) = self.harmonics.split_first_mut() {
            let mut last = &*first;
            for next in others {
                wide(Product(next, last, first));
                last = next;
            }
        }
    }

    /// A harmonic of what is followed as a band hears it, at every value.
    pub(super) fn heard(&mut self, harmonic: Harmonic<'_>) -> &Row {
        if let Some(phasors) = self.harmonics.get(harmonic.order.wrapping_sub(1)) {
            wide(Product(&mut self.one, phasors, harmonic.back));
            let order = harmonic.order as f32;
            wide(Amplitude {
                to: &mut self.amplitude,
                // In the fundamental's hertz.
                from_hz: (harmonic.band_hz - FOLLOWED_HZ) as f32 / order,
                to_hz: (harmonic.band_hz + FOLLOWED_HZ) as f32 / order,
                amplitudes: harmonic.amplitudes,
                hz: &self.hz,
                gone: &self.gone,
                level: &self.level,
            });
            for (to, of) in [
                (&mut self.heard.re, &mut self.one.re),
                (&mut self.heard.im, &mut self.one.im),
            ] {
                wide(Windowed {
                    to,
                    of,
                    amplitude: &self.amplitude,
                    hop: self.hop,
                    plane: self.plane,
                    window: &self.window,
                });
                // What windows half beyond the end would hear.
                to.iter_mut().skip(self.values).for_each(|x| *x = 0.0);
            }
        }
        &self.heard
    }
}

/// The first becomes the product of the others.
struct Product<'a>(&'a mut Row, &'a Row, &'a Row);

impl NullaryFnOnce for Product<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self(to, a, b) = self;
        let of = a.re.iter().zip(&a.im).zip(b.re.iter().zip(&b.im));
        let to = to.re.iter_mut().zip(&mut to.im);
        for ((re, im), ((a_re, a_im), (b_re, b_im))) in to.zip(of) {
            (*re, *im) = (a_re * b_re - a_im * b_im, a_re * b_im + a_im * b_re);
        }
    }
}

/// The amplitude of a harmonic on every fine step, none where it is too far off the band.
struct Amplitude<'a> {
    to: &'a mut [f32],
    from_hz: f32,
    to_hz: f32,
    amplitudes: (f32, f32),
    hz: &'a [f32],
    gone: &'a [f32],
    level: &'a [f32],
}

impl NullaryFnOnce for Amplitude<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let (old, new) = self.amplitudes;
        let of = self.hz.iter().zip(self.gone).zip(self.level);
        for (to, ((hz, gone), level)) in self.to.iter_mut().zip(of) {
            let followed = (*hz >= self.from_hz) & (*hz <= self.to_hz);
            let amplitude = level * (old + (new - old) * gone);
            *to = if followed { amplitude } else { 0.0 };
        }
    }
}

/// One part of a sound through the windows, times its amplitude.
struct Windowed<'a> {
    to: &'a mut [f32],
    of: &'a mut [f32],
    amplitude: &'a [f32],
    hop: usize,
    plane: usize,
    window: &'a [f32],
}

impl NullaryFnOnce for Windowed<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (x, amplitude) in self.of.iter_mut().zip(self.amplitude) {
            *x *= amplitude;
        }
        self.to.fill(0.0);
        for (step, weight) in self.window.iter().enumerate() {
            let from = step % self.hop * self.plane + step / self.hop;
            let of = self.of.get(from..);
            for (to, x) in self.to.iter_mut().zip(of.unwrap_or(&[])) {
                *to += weight * x;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slur::change::Shape;

    /// A tone that stands still is heard with half its amplitude, and as the window answers beside it.
    #[test]
    fn what_stands_still_is_heard_as_the_window_answers() {
        let grain = Grain::Close;
        let time = |k: i32| 1.0 + f64::from(k) * grain.step_s();
        let times: Vec<f64> = (0..13).map(time).collect();
        let mut sung = Sung::new(&times, grain, 3);
        sung.follow(&Change {
            old_hz: 200.0,
            new_hz: 200.0,
            middle_s: 9.0,
            glide_s: 0.03,
            shape: Shape::Eased,
            hold: None,
        });
        for away in [0.0, 20.0, 41.0] {
            let band_hz = 600.0 + away;
            let back = sung.turns(-band_hz);
            let heard = sung.heard(Harmonic {
                order: 3,
                amplitudes: (0.5, 0.5),
                band_hz,
                back: &back,
            });
            let want = 0.5 * crate::slur::hall::bands::answer(away) as f32;
            for (re, im) in heard.re.iter().zip(&heard.im).take(times.len()) {
                assert!(
                    (re.hypot(*im) - want).abs() < 2e-3,
                    "{away}: {re} {im} {want}"
                );
            }
            assert!(heard.re.iter().skip(times.len()).all(|x| *x == 0.0));
        }
    }
}
