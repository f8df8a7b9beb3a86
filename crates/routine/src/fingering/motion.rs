//! What the hand does between two lengths of the tube.

use horn::{Instrument, LengthId};

/// The hand's state on each length of one instrument.
#[derive(Clone, Debug)]
pub struct Motions {
    hands: Vec<Hand>,
    /// True when the instrument has a slide.
    pub slide: bool,
}

#[derive(Clone, Copy, Debug)]
struct Hand {
    valves: u16,
    place: f64,
}

/// What moves between two lengths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Valves and rotors that go down or up.
    pub valves: u32,
    /// Positions that the slide moves, outward positive.
    pub slide: f64,
}

impl Motions {
    /// Reads the lengths of an instrument.
    #[must_use]
    pub fn of(instrument: &Instrument) -> Self {
        Self {
            hands: instrument
                .lengths
                .iter()
                .map(|length| Hand {
                    valves: length.valves,
                    place: length.position.map_or(0.0, f64::from),
                })
                .collect(),
            slide: instrument.lengths.iter().any(|l| l.position.is_some()),
        }
    }

    /// The motion from one length to another; nothing for lengths that the instrument has not.
    #[must_use]
    pub fn between(&self, from: LengthId, to: LengthId) -> Motion {
        match (
            self.hands.get(usize::from(from.0)),
            self.hands.get(usize::from(to.0)),
        ) {
            (Some(a), Some(b)) => Motion {
                valves: (a.valves ^ b.valves).count_ones(),
                slide: b.place - a.place,
            },
            _ => Motion {
                valves: 0,
                slide: 0.0,
            },
        }
    }
}
