//! Parts made by hand for the tests and benches of this crate.

#![allow(
    dead_code,
    missing_docs,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::panic
)]

#[cfg(feature = "engrave")]
pub mod ink;

use horn::{LengthId, NoteKind};
use routine::part::{
    Articulation, Dynamic, Event, Fingered, Line, Note, Part, TICKS_PER_QUARTER, Ticks, Totals,
};
use tone::{Cents, Clef, Interval, KeySignature, Transposition, Written};

pub const B_FLAT: Transposition = Transposition(Interval::new(-1, -2));

/// Usual trumpet fingering of a written MIDI key within the stave, for labels only.
fn valves(midi: i32) -> &'static str {
    match (midi - 54).rem_euclid(12) {
        0 => "1-2-3",
        1 => "1-3",
        2 => "2-3",
        3 => "1-2",
        4 => "1",
        5 => "2",
        6 => "0",
        7 => "2-3",
        8 => "1-2",
        9 => "1",
        10 => "2",
        _ => "0",
    }
}

pub struct Builder {
    line: Line,
    transposition: Transposition,
}

impl Builder {
    pub fn line(number: usize, label: &str, key: i8, transposition: Transposition) -> Self {
        Self {
            line: Line {
                id: format!("l{number}"),
                label: label.into(),
                exercise: "Arpeggios under a roof".into(),
                key: KeySignature(key),
                root: transposition.sounding("C4".parse().unwrap()),
                events: Vec::new(),
                rest_after: Ticks(4 * TICKS_PER_QUARTER),
                tempo: 72.0,
                load: 1.0,
            },
            transposition,
        }
    }

    pub fn note(mut self, pitch: &str, ticks: u32, slurred: bool) -> Self {
        let written: Written = pitch.parse().unwrap();
        let number = self.line.notes().count() + 1;
        let midi = written.midi();
        self.line.events.push(Event::Note(Note {
            id: format!("{}n{number}", self.line.id),
            written,
            sounding: self.transposition.sounding(written),
            duration: Ticks(ticks),
            fingering: Fingered {
                length: LengthId(0),
                label: valves(midi).into(),
                partial: 4,
                cents: Cents(-13.7),
                alternate: midi == 64,
                kind: if midi < 54 {
                    NoteKind::Pedal
                } else {
                    NoteKind::Partial
                },
                reason: "first choice".into(),
            },
            slurred,
            articulation: Articulation::Plain,
            dynamic: (number == 1).then_some(Dynamic::Mf),
        }));
        self
    }

    pub fn notes(mut self, pitches: &str, ticks: u32) -> Self {
        for (index, pitch) in pitches.split_whitespace().enumerate() {
            self = self.note(pitch, ticks, index > 0);
        }
        self
    }

    pub fn rest(mut self, ticks: u32) -> Self {
        self.line.events.push(Event::Rest {
            duration: Ticks(ticks),
        });
        self
    }

    pub fn breath(mut self) -> Self {
        self.line.events.push(Event::Breath);
        self
    }

    pub fn articulation(mut self, articulation: Articulation) -> Self {
        if let Some(Event::Note(note)) = self.line.events.last_mut() {
            note.articulation = articulation;
        }
        self
    }

    pub fn done(self) -> Line {
        self.line
    }
}

pub fn part(meter: Option<(u8, u8)>, lines: Vec<Line>) -> Part {
    Part {
        title: "Morning arpeggios".into(),
        purpose: "Carry one sound from the bottom of the horn to the top.".into(),
        cautions: vec!["Stop and rest if a lip hurts, goes numb or stops responding.".into()],
        words: "Same air all the way; let the roof note come out of the first one.".into(),
        player: "Mira Sandoval".into(),
        instrument: "trumpet-bflat".into(),
        instrument_name: "Trumpet in B-flat".into(),
        clef: Clef::Treble,
        transposition: B_FLAT,
        meter,
        lines,
        sections: Vec::new(),
        left_out: Vec::new(),
        warnings: Vec::new(),
        totals: Totals {
            playing_s: 120.0,
            rest_s: 120.0,
            load: 10.0,
        },
    }
}

/// Eight metered lines that grow as they start lower, with a roof of C6.
pub fn arpeggios() -> Part {
    let quarter = TICKS_PER_QUARTER;
    let eighth = quarter / 2;
    let starts = [
        ("C", 0, "C5 E5 G5 C6 G5 E5"),
        ("B", 5, "B4 D#5 F#5 B5 F#5 D#5"),
        ("B flat", -2, "Bb4 D5 F5 Bb5 F5 D5"),
        ("A", 3, "A4 C#5 E5 A5 C#6 A5 E5 C#5"),
        ("A flat", -4, "Ab4 C5 Eb5 Ab5 C6 Ab5 Eb5 C5"),
        ("G", 1, "G4 B4 D5 G5 B5 G5 D5 B4"),
        ("G flat", -6, "Gb4 Bb4 Db5 Gb5 Bb5 Gb5 Db5 Bb4"),
        ("F", -1, "F3 A3 C4 F4 A4 C5 F5 A5 C6 A5 F5 C5 A4 F4 C4 A3"),
    ];
    let lines = starts
        .into_iter()
        .enumerate()
        .map(|(index, (name, key, pitches))| {
            let last = pitches.split_whitespace().next().unwrap_or("C5");
            let build = Builder::line(index + 1, &format!("from {name}"), key, B_FLAT)
                .notes(pitches, eighth);
            build.note(last, 3 * quarter, true).breath().done()
        })
        .collect();
    part(Some((4, 4)), lines)
}

/// Unmetered slurs with triplets, for trombone in bass clef.
pub fn slurs() -> Part {
    let quarter = TICKS_PER_QUARTER;
    let lines = ["Bb2 F3 Bb3 D4", "A2 E3 A3 C#4", "Ab2 Eb3 Ab3 C4"]
        .into_iter()
        .enumerate()
        .map(|(index, pitches)| {
            let label = format!("position {}", index + 1);
            Builder::line(index + 1, &label, 0, Transposition::CONCERT)
                .notes(pitches, quarter)
                .breath()
                .notes("Bb3 F3 D3", quarter / 3)
                .note("Bb2", 4 * quarter, true)
                .done()
        })
        .collect();
    Part {
        title: "Lip slurs".into(),
        instrument: "trombone-tenor".into(),
        instrument_name: "Tenor trombone".into(),
        clef: Clef::Bass,
        transposition: Transposition::CONCERT,
        ..part(None, lines)
    }
}
