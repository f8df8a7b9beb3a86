//! Names of intervals: `M2`, `-P5`, "minor third", "major ninth down".

use std::fmt;
use std::str::FromStr;

use crate::Interval;
use crate::name::shortened;

/// What kind of second, third and so on an interval is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quality {
    /// Smaller than minor or perfect by this many semitones, at least 1.
    Diminished(u32),
    /// Minor.
    Minor,
    /// Perfect.
    Perfect,
    /// Major.
    Major,
    /// Greater than major or perfect by this many semitones, at least 1.
    Augmented(u32),
}

/// Semitones of the major or perfect interval of 0 to 6 steps.
const LARGE: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

fn large(steps: i32) -> i32 {
    let within = usize::try_from(steps.rem_euclid(7)).unwrap_or_default();
    let octaves = steps.div_euclid(7).saturating_mul(12);
    octaves.saturating_add(LARGE.get(within).copied().unwrap_or_default())
}

fn is_perfect(steps: i32) -> bool {
    matches!(steps.rem_euclid(7), 0 | 3 | 4)
}

impl Interval {
    /// Its number: a unison is 1, a third 3, an octave 8. Never below 1; the direction is left out.
    #[must_use]
    pub fn number(self) -> u32 {
        self.steps.unsigned_abs().saturating_add(1)
    }

    /// Its quality, direction left out.
    #[must_use]
    pub fn quality(self) -> Quality {
        let up = self.abs();
        let over = up.semitones.saturating_sub(large(up.steps));
        match (is_perfect(up.steps), over) {
            (true, 0) => Quality::Perfect,
            (false, 0) => Quality::Major,
            (false, -1) => Quality::Minor,
            (_, 1..) => Quality::Augmented(over.unsigned_abs()),
            (true, _) => Quality::Diminished(over.unsigned_abs()),
            (false, _) => Quality::Diminished(over.unsigned_abs() - 1),
        }
    }

    /// The interval upward with this quality and number; `None` when there is no such interval
    /// (a perfect third, a minor fifth, number 0) or the number is above 1000.
    ///
    /// ```
    /// use tone::{Interval, Quality};
    ///
    /// assert_eq!(Interval::of(Quality::Minor, 3), Some(Interval::new(2, 3)));
    /// assert_eq!(Interval::of(Quality::Perfect, 3), None);
    /// ```
    #[must_use]
    pub fn of(quality: Quality, number: u32) -> Option<Self> {
        let steps = i32::try_from(number.checked_sub(1)?).ok()?;
        if steps > 999 {
            return None;
        }
        let over = match (is_perfect(steps), quality) {
            (true, Quality::Perfect) | (false, Quality::Major) => 0,
            (false, Quality::Minor) => -1,
            (_, Quality::Augmented(by @ 1..=12)) => i32::try_from(by).ok()?,
            (true, Quality::Diminished(by @ 1..=12)) => -i32::try_from(by).ok()?,
            (false, Quality::Diminished(by @ 1..=12)) => -1 - i32::try_from(by).ok()?,
            _ => return None,
        };
        Some(Self::new(steps, large(steps) + over))
    }

    /// Its name in words: "minor third", "augmented fourth", "major ninth down".
    ///
    /// ```
    /// assert_eq!(tone::Interval::new(-1, -2).name(), "major second down");
    /// ```
    #[must_use]
    pub fn name(self) -> String {
        let quality = match self.quality() {
            Quality::Diminished(by) => format!("{}diminished", times(by)),
            Quality::Minor => "minor".to_owned(),
            Quality::Perfect => "perfect".to_owned(),
            Quality::Major => "major".to_owned(),
            Quality::Augmented(by) => format!("{}augmented", times(by)),
        };
        let down = if self.is_down() { " down" } else { "" };
        format!("{quality} {}{down}", ordinal(self.number()))
    }
}

fn times(by: u32) -> String {
    match by {
        0 | 1 => String::new(),
        2 => "doubly ".to_owned(),
        3 => "triply ".to_owned(),
        n => format!("{n} times "),
    }
}

fn ordinal(number: u32) -> String {
    const WORDS: [&str; 22] = [
        "unison",
        "second",
        "third",
        "fourth",
        "fifth",
        "sixth",
        "seventh",
        "octave",
        "ninth",
        "tenth",
        "eleventh",
        "twelfth",
        "thirteenth",
        "fourteenth",
        "fifteenth",
        "sixteenth",
        "seventeenth",
        "eighteenth",
        "nineteenth",
        "twentieth",
        "twenty-first",
        "twenty-second",
    ];
    let index = usize::try_from(number)
        .unwrap_or(usize::MAX)
        .wrapping_sub(1);
    if let Some(word) = WORDS.get(index) {
        return (*word).to_owned();
    }
    let ending = match (number % 100, number % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

impl fmt::Display for Interval {
    /// Short: `M2`, `P5`, `d5`, `AA4`; a minus before an interval that goes down.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_down() {
            f.write_str("-")?;
        }
        match self.quality() {
            Quality::Minor => f.write_str("m")?,
            Quality::Perfect => f.write_str("P")?,
            Quality::Major => f.write_str("M")?,
            Quality::Diminished(by @ 0..=3) => f.write_str(&"d".repeat(by as usize))?,
            Quality::Augmented(by @ 0..=3) => f.write_str(&"A".repeat(by as usize))?,
            Quality::Diminished(by) => write!(f, "{by}d")?,
            Quality::Augmented(by) => write!(f, "{by}A")?,
        }
        write!(f, "{}", self.number())
    }
}

/// Why a text is not an interval.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not an interval: write m, M, P, d or A and a number, with a minus for down, as in m3, P5 or -M2"
)]
pub struct ParseIntervalError {
    text: String,
}

impl FromStr for Interval {
    type Err = ParseIntervalError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        read(text.trim()).ok_or_else(|| ParseIntervalError {
            text: shortened(text),
        })
    }
}

fn read(text: &str) -> Option<Interval> {
    let (down, rest) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let letters = rest.trim_end_matches(|c: char| c.is_ascii_digit());
    let number: u32 = rest.get(letters.len()..)?.parse().ok()?;
    let quality = match letters {
        "m" => Quality::Minor,
        "P" => Quality::Perfect,
        "M" => Quality::Major,
        "d" | "dd" | "ddd" => Quality::Diminished(u32::try_from(letters.len()).ok()?),
        "A" | "AA" | "AAA" => Quality::Augmented(u32::try_from(letters.len()).ok()?),
        _ => return None,
    };
    let up = Interval::of(quality, number)?;
    Some(if down { -up } else { up })
}
