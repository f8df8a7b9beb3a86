//! Note values: how a number of ticks is written as noteheads, dots and tuplets.

use routine::part::TICKS_PER_QUARTER;

/// A written note value without dots, from a breve down to a 64th.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shape {
    /// Two whole notes.
    Breve,
    /// Whole note.
    Whole,
    /// Half note.
    Half,
    /// Quarter note.
    Quarter,
    /// Eighth note.
    Eighth,
    /// Sixteenth note.
    Sixteenth,
    /// 32nd note.
    ThirtySecond,
    /// 64th note.
    SixtyFourth,
}

impl Shape {
    /// All values, longest first.
    pub const ALL: [Self; 8] = [
        Self::Breve,
        Self::Whole,
        Self::Half,
        Self::Quarter,
        Self::Eighth,
        Self::Sixteenth,
        Self::ThirtySecond,
        Self::SixtyFourth,
    ];

    /// Ticks of the plain value.
    #[must_use]
    pub const fn ticks(self) -> u32 {
        (TICKS_PER_QUARTER * 8) >> (self as u32)
    }

    /// The name that MusicXML uses (`note-type-value`).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Breve => "breve",
            Self::Whole => "whole",
            Self::Half => "half",
            Self::Quarter => "quarter",
            Self::Eighth => "eighth",
            Self::Sixteenth => "16th",
            Self::ThirtySecond => "32nd",
            Self::SixtyFourth => "64th",
        }
    }

    /// Flags or beams: 1 for an eighth, 0 for a quarter and longer.
    #[must_use]
    pub const fn beams(self) -> u8 {
        (self as u8).saturating_sub(Self::Quarter as u8)
    }
}

/// A tuplet ratio: `actual` notes in the time of `normal`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ratio {
    /// Notes written.
    pub actual: u8,
    /// Notes whose time they take.
    pub normal: u8,
}

/// Ratios tried in order.
const RATIOS: [Ratio; 2] = [
    Ratio {
        actual: 3,
        normal: 2,
    },
    Ratio {
        actual: 5,
        normal: 4,
    },
];

/// A written value: a shape, up to two dots, and a tuplet ratio if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Value {
    /// The notehead and stem.
    pub shape: Shape,
    /// Augmentation dots, 0 to 2.
    pub dots: u8,
    /// The tuplet it belongs to.
    pub ratio: Option<Ratio>,
}

impl Value {
    /// The single value of exactly this many ticks, if there is one.
    ///
    /// ```
    /// use score::value::{Shape, Value};
    /// let dotted_quarter = Value::exact(1440).unwrap();
    /// assert_eq!((dotted_quarter.shape, dotted_quarter.dots), (Shape::Quarter, 1));
    /// assert_eq!(Value::exact(320).unwrap().ratio.unwrap().actual, 3);
    /// assert!(Value::exact(961).is_none());
    /// ```
    #[must_use]
    pub fn exact(ticks: u32) -> Option<Self> {
        Self::plain(ticks).or_else(|| {
            RATIOS.into_iter().find_map(|ratio| {
                let scaled = ticks.checked_mul(u32::from(ratio.actual))?;
                if scaled % u32::from(ratio.normal) != 0 {
                    return None;
                }
                let value = Self::plain(scaled / u32::from(ratio.normal))?;
                (value.dots == 0).then_some(Self {
                    ratio: Some(ratio),
                    ..value
                })
            })
        })
    }

    /// The value without a tuplet of exactly this many ticks, if there is one.
    fn plain(ticks: u32) -> Option<Self> {
        Shape::ALL.into_iter().find_map(|shape| {
            let base = shape.ticks();
            let dots = [base, base + base / 2, base + base / 2 + base / 4]
                .into_iter()
                .position(|length| length == ticks)?;
            // A dot below a 64th would need a 128th.
            (shape != Shape::SixtyFourth || dots == 0).then_some(Self {
                shape,
                dots: dots as u8,
                ratio: None,
            })
        })
    }

    /// Values that add up to `ticks`, to be tied together; longest first.
    ///
    /// `None` when no chain of values down to a 64th, with at most one tuplet value at its end,
    /// gives the sum.
    #[must_use]
    pub fn chain(ticks: u32) -> Option<Vec<(u32, Self)>> {
        let mut left = ticks;
        let mut chain = Vec::new();
        while left > 0 {
            if let Some(value) = Self::exact(left) {
                chain.push((left, value));
                return Some(chain);
            }
            let shape = Shape::ALL.into_iter().find(|shape| shape.ticks() < left)?;
            let value = Self {
                shape,
                dots: 0,
                ratio: None,
            };
            chain.push((shape.ticks(), value));
            left -= shape.ticks();
        }
        Some(chain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_plain_and_triplet_value_has_a_single_shape() {
        for (ticks, shape, dots, actual) in [
            (7680, Shape::Breve, 0, 1),
            (3840, Shape::Whole, 0, 1),
            (2880, Shape::Half, 1, 1),
            (3360, Shape::Half, 2, 1),
            (640, Shape::Quarter, 0, 3),
            (160, Shape::Sixteenth, 0, 3),
            (192, Shape::Sixteenth, 0, 5),
            (768, Shape::Quarter, 0, 5),
        ] {
            let value = Value::exact(ticks).unwrap();
            assert_eq!((value.shape, value.dots), (shape, dots), "{ticks}");
            assert_eq!(value.ratio.map_or(1, |r| r.actual), actual, "{ticks}");
        }
    }

    proptest! {
        #[test]
        fn a_chain_adds_up(ticks in 0_u32..200_000) {
            if let Some(chain) = Value::chain(ticks) {
                prop_assert_eq!(chain.iter().map(|(t, _)| t).sum::<u32>(), ticks);
            }
        }

        #[test]
        fn sixty_fourths_always_chain(count in 1_u32..2000) {
            prop_assert!(Value::chain(count * 60).is_some());
        }
    }
}
