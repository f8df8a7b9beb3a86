//! Lines cut into bars of printable symbols: ties, tuplets, beams, accidentals, rests that mean rest.

mod accidental;
mod beam;
#[cfg(feature = "engrave")]
mod dynamic;
mod split;
mod tuplet;

use routine::part::{Dynamic, Line, Note, Part, Section};

use crate::Error;
use crate::value::Value;

pub use beam::Beam;

/// A part cut into bars.
#[derive(Clone, Debug)]
pub struct Barred<'a> {
    /// The part it came from.
    pub part: &'a Part,
    /// One for each line of the part, in order.
    pub lines: Vec<BarredLine<'a>>,
}

/// A line cut into bars.
#[derive(Clone, Debug)]
pub struct BarredLine<'a> {
    /// The line it came from.
    pub line: &'a Line,
    /// The exercise of the day that it belongs to.
    pub section: Option<&'a Section>,
    /// Beats in a bar and the beat's denominator; `None` when unmetered.
    pub meter: Option<(u8, u8)>,
    /// Its bars; never empty. The rest after the line stands in the last ones.
    pub bars: Vec<Bar<'a>>,
}

/// What stands at the right end of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Barline {
    /// Nothing: a place where an unmetered line may wrap.
    Unseen,
    /// A single barline.
    Single,
    /// Two thin lines: the end of a line of the exercise.
    Double,
    /// Thin and thick: the end of the part.
    Final,
}

/// One bar, or one stretch of an unmetered line.
#[derive(Clone, Debug)]
pub struct Bar<'a> {
    /// 1 for the first bar of the part.
    pub number: u32,
    /// Its length in ticks.
    pub length: u32,
    /// Notes and rests in order, filling the length exactly.
    pub symbols: Vec<Symbol<'a>>,
    /// What stands at its right end.
    pub end: Barline,
    /// How many bars of rest begin here, to be written as one sign; 0 for none.
    pub rest_bars: u32,
    /// True when the bar only holds the rest after the line.
    pub pause: bool,
}

/// A note or rest of one written value.
#[derive(Clone, Debug)]
pub struct Symbol<'a> {
    /// Ticks from the start of the bar.
    pub start: u32,
    /// Ticks that it lasts.
    pub ticks: u32,
    /// The written value; `None` for a rest that fills the bar.
    pub value: Option<Value>,
    /// The note, or `None` for a rest.
    pub head: Option<Head<'a>>,
    /// Beams from the outermost inwards.
    pub beams: Vec<Beam>,
    /// A tuplet begins here.
    pub tuplet_start: bool,
    /// A tuplet ends here.
    pub tuplet_stop: bool,
}

/// A note, or one of the tied pieces that a note was cut into.
#[derive(Clone, Debug)]
pub struct Head<'a> {
    /// The note of the part.
    pub note: &'a Note,
    /// 0 for the first piece.
    pub piece: u16,
    /// True for the last piece.
    pub last: bool,
    /// A slur begins at this note.
    pub slur_start: bool,
    /// A slur ends at this note.
    pub slur_stop: bool,
    /// The sign before the notehead.
    pub accidental: Option<i8>,
    /// For a tied piece, the sign before the first one: it holds here too and is not drawn again.
    pub carried: Option<i8>,
    /// A breath mark follows.
    pub breath: bool,
    /// The dynamic mark before it; none at the later pieces of a tied note.
    pub dynamic: Option<Dynamic>,
}

impl Head<'_> {
    /// The id of this piece: the note's own for the first, `l1n2-2` for its second piece.
    #[must_use]
    pub fn id(&self) -> String {
        if self.piece == 0 {
            self.note.id.clone()
        } else {
            format!("{}-{}", self.note.id, self.piece + 1)
        }
    }
}

/// Longest stretch of music or rest that one line may hold: a thousand whole notes.
const LONGEST_LINE: u32 = 3_840_000;

/// Cuts a part into bars.
///
/// # Errors
///
/// [`Error::Empty`] for a part without notes, [`Error::Meter`] for a meter that is none,
/// [`Error::Duration`] for a length that no note values give, [`Error::Pitch`] for a pitch
/// outside octaves 0 to 9.
pub fn cut(part: &Part) -> Result<Barred<'_>, Error> {
    if part.lines.iter().all(|line| line.notes().next().is_none()) {
        return Err(Error::Empty {
            title: part.title.clone(),
            left_out: part.left_out.clone(),
        });
    }
    let mut number = 1;
    let mut lines = Vec::with_capacity(part.lines.len());
    for (index, line) in part.lines.iter().enumerate() {
        let section = section_of(part, index);
        let meter = section.map_or(part.meter, |section| section.meter);
        let bar_length = meter.map(bar_length).transpose()?;
        let beat = meter.map_or(split::FREE_BEAT, beam::beat);
        let mut bars = match bar_length {
            Some(length) => split::metered(line, length)?,
            None => split::unmetered(line)?,
        };
        for bar in &mut bars {
            bar.number = number;
            number += 1;
            tuplet::mark(&mut bar.symbols);
            beam::mark(&mut bar.symbols, beat);
        }
        accidental::mark(&mut bars, line.key, bar_length.is_some());
        lines.push(BarredLine {
            line,
            section,
            meter,
            bars,
        });
    }
    if let Some(bar) = lines.last_mut().and_then(|line| line.bars.last_mut()) {
        bar.end = Barline::Final;
    }
    Ok(Barred { part, lines })
}

/// The section that holds the line with this index.
fn section_of(part: &Part, line: usize) -> Option<&Section> {
    part.sections
        .iter()
        .find(|s| line >= s.first_line && line - s.first_line < s.line_count)
}

/// Ticks in a bar of a meter.
fn bar_length((beats, unit): (u8, u8)) -> Result<u32, Error> {
    if (1..=32).contains(&beats) && unit.is_power_of_two() && unit <= 32 {
        Ok(u32::from(beats) * (crate::value::Shape::Whole.ticks() / u32::from(unit)))
    } else {
        Err(Error::Meter { beats, unit })
    }
}
