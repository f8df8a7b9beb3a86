//! A note's stray moments in echo, brought back to where most of it lies.
//!
//! The comb of a moment may wander from harmonic to harmonic of the notes that still ring: of a short note in a hall
//! half of the moments stray, each to another place, while the others lie within a few cents of one.

use std::ops::Range;

use crate::analysis::Analysis;
use crate::heard::{Frame, Track};
use crate::pitch::Fine;
use crate::thresholds as t;

/// Fits the stray moments of some notes, given from one coarse step to another, anew: close to where most of the
/// note lies. What finds nothing there stays as it is.
pub(crate) fn gather(
    analysis: &Analysis,
    track: &mut Track,
    notes: impl Iterator<Item = Range<usize>>,
) {
    let mut fine = Fine::new(analysis.sound.rate);
    let step = |coarse: usize| (coarse as f64 * t::COARSE_STEP_S / t::FINE_STEP_S) as usize;
    for note in notes {
        let (from, to) = (step(note.start), step(note.end).min(track.frames.len()));
        let frames = track.frames.get_mut(from..to).unwrap_or(&mut []);
        let Some(most) = thickest(frames) else {
            continue;
        };
        let guess_hz = (most / 1200.0).exp2();
        for (i, frame) in (from..).zip(frames) {
            if !frame.sounds() || !strays(frame, most) {
                continue;
            }
            fit_near(analysis, &mut fine, (i, frame), guess_hz);
        }
    }
}

/// Fits the sounding moments between two times anew, close to a pitch.
pub(crate) fn refit(
    analysis: &Analysis,
    track: &mut Track,
    (from_s, to_s): (f64, f64),
    guess_hz: f64,
) {
    let mut fine = Fine::new(analysis.sound.rate);
    let step = |at_s: f64| (at_s / t::FINE_STEP_S).ceil().max(0.0) as usize;
    let (from, to) = (step(from_s), step(to_s).min(track.frames.len()));
    let frames = track.frames.get_mut(from..to).unwrap_or(&mut []);
    for (i, frame) in (from..).zip(frames).filter(|(_, frame)| frame.sounds()) {
        fit_near(analysis, &mut fine, (i, frame), guess_hz);
    }
}

/// Fits moment `i` close to a pitch; what finds nothing there stays as it is.
fn fit_near(analysis: &Analysis, fine: &mut Fine, (i, frame): (usize, &mut Frame), guess_hz: f64) {
    let centre = analysis.centre(i as f64 * t::FINE_STEP_S);
    if let Some(fit) = fine.fit_near(analysis.rates(), centre, guess_hz) {
        frame.hz = fit.hz;
        frame.cents_uncertainty = fit.cents_uncertainty as f32;
        frame.periodicity = fit.periodicity as f32;
    }
}

/// True when a sounding moment lies far from where most do (cents, as [`thickest`] tells it).
pub(crate) fn strays(frame: &Frame, most: f64) -> bool {
    (1200.0 * frame.hz.log2() - most).abs() >= t::STRAY_CENTS
}

/// The middle of the [`t::GATHERED_CENTS`] that hold most of some moments, the surer ones more: cents over 1 Hz.
pub(crate) fn thickest(frames: &[Frame]) -> Option<f64> {
    let sounding = frames.iter().filter(|f| f.sounds());
    let mut moments: Vec<(f64, f64)> = sounding
        .map(|f| {
            let spread = f64::from(f.cents_uncertainty) + t::GATHERED_SURE_CENTS;
            (1200.0 * f.hz.log2(), 1.0 / spread)
        })
        .collect();
    moments.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Weights summed up, so that a note held for minutes takes no longer than its moments are many.
    let mut sum = 0.0;
    let mut sums = vec![0.0];
    sums.extend(moments.iter().map(|moment| {
        sum += moment.1;
        sum
    }));
    let mut best: Option<(f64, usize)> = None;
    let mut to = 0;
    for (from, first) in moments.iter().enumerate() {
        while moments
            .get(to)
            .is_some_and(|m| m.0 <= first.0 + t::GATHERED_CENTS)
        {
            to += 1;
        }
        let weight = sums.get(to)? - sums.get(from)?;
        if best.is_none_or(|(most, _)| weight >= most) {
            best = Some((weight, usize::midpoint(from, to)));
        }
    }
    moments.get(best?.1).map(|m| m.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(of: &[(f64, f32)]) -> Vec<Frame> {
        let moment = |(hz, cents_uncertainty): &(f64, f32)| Frame {
            hz: *hz,
            cents_uncertainty: *cents_uncertainty,
            ..Frame::default()
        };
        of.iter().map(moment).collect()
    }

    /// Fits of a note of 277.9 Hz under the echo of one of 221.1 (simulated hall, seed 903).
    #[test]
    fn a_note_lies_where_its_sure_moments_are_one() {
        let frames = moments(&[
            (276.9, 1.6),
            (275.9, 1.0),
            (255.8, 2.7),
            (265.2, 6.6),
            (278.7, 0.8),
            (256.2, 2.6),
            (256.4, 3.4),
            (277.5, 0.7),
            (257.4, 1.9),
            (252.7, 3.8),
            (277.3, 0.6),
            (244.1, 1.0),
            (0.0, 0.0),
            (219.3, 0.9),
            (257.0, 0.9),
            (276.8, 0.4),
        ]);
        let most = thickest(&frames).unwrap();
        assert!((most - 1200.0 * 277.3_f64.log2()).abs() < 6.0);
        let astray = frames.iter().filter(|f| f.sounds() && strays(f, most));
        assert_eq!(astray.count(), 9);
        assert!(thickest(&[]).is_none());
    }
}
