//! Clefs that brass parts use, and where a note stands on the staff.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::{Letter, Pitch, Written};

/// A clef.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Clef {
    /// G on the second line.
    Treble,
    /// F on the fourth line.
    Bass,
    /// C on the fourth line.
    Tenor,
    /// C on the third line.
    Alto,
}

/// Height on a staff of five lines: 0 is the lowest line, 1 the lowest space, 8 the highest line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct StaffPosition(pub i32);

impl StaffPosition {
    /// Height of the top line.
    const TOP_LINE: i32 = 8;

    /// True on a line, ledger lines included.
    #[must_use]
    pub const fn is_line(self) -> bool {
        self.0 % 2 == 0
    }

    /// Ledger lines that a note here needs: positive above the staff, negative below, 0 within.
    #[must_use]
    pub const fn ledger_lines(self) -> i32 {
        if self.0 > Self::TOP_LINE {
            (self.0 - Self::TOP_LINE) / 2
        } else {
            // Division rounds toward zero: a note hanging below the staff needs none.
            if self.0 < 0 { self.0 / 2 } else { 0 }
        }
    }
}

impl Clef {
    /// All clefs.
    pub const ALL: [Self; 4] = [Self::Treble, Self::Bass, Self::Tenor, Self::Alto];

    /// The letter that the sign stands for and the line it stands on, 1 lowest (as in MusicXML).
    #[must_use]
    pub const fn sign(self) -> (Letter, u8) {
        match self {
            Self::Treble => (Letter::G, 2),
            Self::Bass => (Letter::F, 4),
            Self::Tenor => (Letter::C, 4),
            Self::Alto => (Letter::C, 3),
        }
    }

    /// The natural note on the line of the sign: G4, F3 or C4.
    #[must_use]
    pub const fn sign_pitch(self) -> Pitch {
        match self {
            Self::Treble => Pitch::new(Letter::G, 0, 4),
            Self::Bass => Pitch::new(Letter::F, 0, 3),
            Self::Tenor | Self::Alto => Pitch::new(Letter::C, 0, 4),
        }
    }

    fn lowest_line(self) -> i32 {
        let (_, line) = self.sign();
        self.sign_pitch().staff_step() - 2 * (i32::from(line) - 1)
    }

    /// Where a written note stands.
    ///
    /// ```
    /// use tone::{Clef, StaffPosition};
    ///
    /// let middle_c = "C4".parse()?;
    /// assert_eq!(Clef::Treble.position(middle_c), StaffPosition(-2));
    /// assert_eq!(Clef::Treble.position(middle_c).ledger_lines(), -1);
    /// assert_eq!(Clef::Bass.position(middle_c).ledger_lines(), 1);
    /// assert_eq!(Clef::Tenor.position(middle_c), StaffPosition(6));
    /// # Ok::<(), tone::ParsePitchError>(())
    /// ```
    #[must_use]
    pub fn position(self, written: Written) -> StaffPosition {
        StaffPosition(written.0.staff_step() - self.lowest_line())
    }

    /// The natural note at a place on the staff.
    #[must_use]
    pub fn pitch_at(self, position: StaffPosition) -> Written {
        let step = position.0.saturating_add(self.lowest_line());
        let letter = Letter::from_step(step);
        let octave = step.div_euclid(7).clamp(i8::MIN.into(), i8::MAX.into());
        Written(Pitch::new(letter, 0, octave as i8))
    }

    /// The clef of a choice that needs the fewest ledger lines for a compass, the earlier one when
    /// two need the same; `None` for an empty choice.
    ///
    /// ```
    /// use tone::Clef;
    ///
    /// let high_trombone = ("F3".parse()?, "Bb4".parse()?);
    /// assert_eq!(Clef::best(&[Clef::Bass, Clef::Tenor], high_trombone), Some(Clef::Tenor));
    /// # Ok::<(), tone::ParsePitchError>(())
    /// ```
    #[must_use]
    pub fn best(choice: &[Self], (low, high): (Written, Written)) -> Option<Self> {
        let lines = |clef: &Self| -> i32 {
            [low, high]
                .map(|note| clef.position(note).ledger_lines().abs())
                .iter()
                .sum()
        };
        choice.iter().copied().min_by_key(lines)
    }
}

impl fmt::Display for Clef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Treble => "treble",
            Self::Bass => "bass",
            Self::Tenor => "tenor",
            Self::Alto => "alto",
        })
    }
}
