//! What was to be played, as the ear needs it: frequencies, nominal times and the tube's own partials.

mod build;

use serde::{Deserialize, Serialize};

pub use build::from_part;

/// The lines that were to be played.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// Lines in the order of the part.
    pub lines: Vec<ExpectedLine>,
}

/// One line.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ExpectedLine {
    /// The line's id in the part.
    pub id: String,
    /// For people, such as "from A".
    pub label: String,
    /// The exercise it belongs to.
    pub exercise: String,
    /// Frequency of the root of the harmony (what a drone holds), hertz.
    pub root_hz: f64,
    /// Notes in order.
    pub notes: Vec<ExpectedNote>,
    /// Nominal rest after the line, seconds.
    pub rest_after_s: f64,
}

/// One note.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ExpectedNote {
    /// The note's id in the part.
    pub id: String,
    /// MIDI key of the sounding pitch.
    pub midi: i32,
    /// The frequency asked for, hertz.
    pub hz: f64,
    /// Nominal start from the line's start, seconds.
    pub start_s: f64,
    /// Nominal length, seconds.
    pub seconds: f64,
    /// True when slurred from the note before.
    pub slurred: bool,
    /// Its partial on its length; 0 when not known.
    pub partial: u8,
    /// Partials of its length, lowest first: what a lip can fall onto here.
    pub tube: Vec<TubePartial>,
}

/// A partial of a length of tube.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TubePartial {
    /// Its number.
    pub partial: u8,
    /// Its frequency, hertz.
    pub hz: f64,
}

impl Expected {
    /// The note at a place.
    #[must_use]
    pub fn note(&self, line: usize, note: usize) -> Option<&ExpectedNote> {
        self.lines.get(line)?.notes.get(note)
    }

    /// How many notes there are in all lines.
    #[must_use]
    pub fn count(&self) -> usize {
        self.lines.iter().map(|line| line.notes.len()).sum()
    }

    /// The lowest frequency asked for, hertz; `None` where nothing is asked.
    #[must_use]
    pub fn lowest_hz(&self) -> Option<f64> {
        let all = self.lines.iter().flat_map(|line| &line.notes);
        all.map(|note| note.hz).min_by(f64::total_cmp)
    }
}

impl ExpectedNote {
    /// Partials strictly between this note and the next one (more than 30 cents from both), on
    /// this note's length and the next one's, from this note towards the next, each once.
    #[must_use]
    pub fn between(&self, next: &Self) -> Vec<TubePartial> {
        let (low, high) = (self.hz.min(next.hz), self.hz.max(next.hz));
        let edge = (30.0_f64 / 1200.0).exp2();
        let mut found: Vec<TubePartial> = Vec::new();
        for partial in self.tube.iter().chain(&next.tube) {
            let inside = partial.hz > low * edge && partial.hz < high / edge;
            let known = found
                .iter()
                .any(|f| (f.hz / partial.hz).log2().abs() < 20.0 / 1200.0);
            if inside && !known {
                found.push(*partial);
            }
        }
        found.sort_by(|a, b| a.hz.total_cmp(&b.hz));
        if next.hz < self.hz {
            found.reverse();
        }
        found
    }
}
