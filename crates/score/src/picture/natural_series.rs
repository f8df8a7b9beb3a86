//! The natural series of one length on the staff, with each partial's place against equal
//! temperament in cents.

use tone::{Cents, Clef, Language, Pitch, Sounding, Transposition};

use super::staff::{Staff, name, name_at};
use super::{EDGE, Theme, WIDTH, fill, slide};
use crate::font::Type;
use crate::svg::{self, Anchor};

/// Most partials that a slide shows.
const MOST: u8 = 16;

/// Partials 1 to `highest` (at most 16) of a tube whose fundamental sounds `fundamental`, written
/// in the player's clef and transposition. `label` says how the tube is set, such as `1-2`.
///
/// The figures are the exact series: 1200 log2 n less the nearest semitone, so partial 5 stands
/// 13.7 cents below equal temperament.
#[must_use]
pub fn natural_series(
    title: &str,
    label: &str,
    fundamental: Sounding,
    highest: u8,
    clef: Clef,
    transposition: Transposition,
    theme: &Theme,
) -> String {
    let count = highest.clamp(1, MOST);
    let room = WIDTH - 2.0 * EDGE;
    let first = EDGE + 190.0;
    let step = (room - 230.0) / f64::from(count.max(2) - 1);
    let partials: Vec<(u8, Pitch, f64)> = (1..=count)
        .map(|n| place(n, fundamental, transposition))
        .collect();
    // The staff stands so that the highest and the lowest note stay on the slide.
    let probe = Staff {
        x: EDGE,
        width: room,
        top: 0.0,
        space: 1.0,
        clef,
        theme,
    };
    let ys: Vec<f64> = partials
        .iter()
        .map(|(_, pitch, _)| probe.y(*pitch))
        .collect();
    let highest_y = ys.iter().copied().fold(0.0, f64::min) - 1.5;
    let lowest_y = ys.iter().copied().fold(4.0, f64::max) + 1.5;
    let space = (560.0 / (lowest_y - highest_y)).min(34.0);
    let top = 210.0 + (560.0 - (lowest_y - highest_y) * space) / 2.0 - highest_y * space;
    let staff = Staff {
        x: EDGE,
        width: room,
        top,
        space,
        clef,
        theme,
    };
    let mut body = staff.draw();
    let mut words = Vec::new();
    for (n, pitch, cents) in partials {
        let x = first + f64::from(n - 1) * step;
        body += &staff.note(pitch, x);
        let (colour, figure) = theme.cents(cents);
        let number = Type::sans(46.0).bold();
        let small = Type::sans(30.0);
        body += &svg::text(x, 850.0, Anchor::Middle, number, "", &n.to_string());
        body += &name_at(pitch, Language::En, (x, 900.0), small, theme.ink);
        body += &svg::text(
            x,
            955.0,
            Anchor::Middle,
            small.bold(),
            &fill(colour),
            &figure,
        );
        words.push(format!(
            "partial {n}: {}, {} cents",
            name(pitch, Language::En),
            svg::number(cents.round())
        ));
    }
    let foot = Type::sans(26.0);
    let remark = "Figures: cents from equal temperament. Blue with an arrow down is flat, orange with an arrow up is sharp.";
    body += &svg::text(EDGE, 1020.0, Anchor::Start, foot, &fill(theme.dim), remark);
    let lead = format!(
        "Fingering or position: {label}. Whole multiples of one frequency, written as the player reads them."
    );
    slide(title, &lead, theme, &words.join("; "), &body)
}

/// A partial as the nearest written pitch and its distance from it in cents.
fn place(n: u8, fundamental: Sounding, transposition: Transposition) -> (u8, Pitch, f64) {
    let above = Cents::from_ratio(f64::from(n)).0;
    let semitones = (above / 100.0).round();
    let sounding = Sounding(Pitch::from_midi(fundamental.midi() + semitones as i32));
    let written = transposition.written(sounding).0;
    // The usual spelling of what is written, not of what sounds.
    let written = Pitch::from_midi(written.midi());
    (n, written, above - 100.0 * semitones)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn partials_lie_where_the_series_puts_them() {
        // Cents against equal temperament: facts of the series (1200 log2 n).
        let expected = [
            (2, 0.0),
            (3, 1.955),
            (4, 0.0),
            (5, -13.686),
            (6, 1.955),
            (7, -31.174),
            (8, 0.0),
            (9, 3.910),
            (10, -13.686),
            (11, -48.682),
            (12, 1.955),
            (13, 40.528),
            (16, 0.0),
        ];
        let pedal = Sounding("Bb2".parse().unwrap());
        let written = Transposition(tone::Interval::new(-1, -2));
        for (n, cents) in expected {
            let (_, _, found) = place(n, pedal, written);
            assert!((found - cents).abs() < 0.001, "partial {n}: {found}");
        }
        assert_eq!(place(4, pedal, written).1, "C5".parse().unwrap());
        assert_eq!(place(7, pedal, written).1, "Bb5".parse().unwrap());
    }
}
