//! Standard MIDI File: tempo, program, markers by line, and tuned notes by pitch bend.

use midly::num::{u4, u7, u14, u15, u24, u28};
use midly::{
    Format, Header, MetaMessage, MidiMessage, PitchBend, Smf, Timing, TrackEvent, TrackEventKind,
};
use routine::Playback;
use routine::part::{Articulation, Dynamic, Line, Note, Part, TICKS_PER_QUARTER};

use crate::Error;
use crate::barred::{self, BarredLine};

/// Pitch bend range set by registered parameter 0: two semitones either way, the usual one.
const BEND_RANGE_SEMITONES: u8 = 2;
/// Offsets smaller than this are not worth a message: one step of pitch bend is 0.024 cents.
const SMALLEST_CENTS: f64 = 0.02;
/// Velocity where no dynamic mark stands: mezzo-forte.
const NO_MARK: Dynamic = Dynamic::Mf;

/// Velocity for a dynamic mark (common practice of sequencers, no source).
#[must_use]
pub fn velocity(dynamic: Dynamic) -> u8 {
    match dynamic {
        Dynamic::Pp => 33,
        Dynamic::P => 49,
        Dynamic::Mp => 64,
        Dynamic::Mf => 80,
        Dynamic::F => 96,
        Dynamic::Ff => 112,
    }
}

/// General MIDI Level 1 program, from 0, for an instrument id.
#[must_use]
pub fn program(instrument: &str) -> u8 {
    const PROGRAMS: [(&str, u8); 9] = [
        ("horn", 60),
        ("trombone", 57),
        ("tuba", 58),
        ("bass", 58),
        ("euphonium", 57),
        ("baritone", 57),
        ("trumpet", 56),
        ("cornet", 56),
        ("flugel", 56),
    ];
    let id = instrument.to_lowercase();
    // A flugelhorn or a tenor horn is not the orchestra's horn: the more telling word comes last.
    PROGRAMS
        .into_iter()
        .rev()
        .find(|(word, _)| id.contains(word))
        .map_or(56, |(_, program)| program)
}

/// The part as a Standard MIDI File of format 0, sounding pitch, 960 ticks to the quarter.
///
/// Every line begins with a marker `exercise: label`. Note lengths follow the articulation: a
/// slurred note lasts to the next, a tongued one a sixteenth of its length less, a staccato half.
/// Tuning is pitch bend before each note, within a range of two semitones that the file sets; a
/// part in equal temperament at A4 = 440 Hz goes without.
///
/// # Errors
///
/// Those of [`barred::cut`], and [`Error::Pitch`] outside MIDI keys 0 to 127.
pub fn write(part: &Part, playback: &Playback) -> Result<Vec<u8>, Error> {
    let barred = barred::cut(part)?;
    let mut track = Track::default();
    let title = crate::musicxml::printable(&part.title);
    track.meta(0, MetaMessage::TrackName(title.as_bytes()));
    let program = u7::new(program(&part.instrument));
    track.midi(0, MidiMessage::ProgramChange { program });
    let bent = part.lines.iter().any(|line| {
        line.notes()
            .any(|n| playback.offset(line, n).0.abs() >= SMALLEST_CENTS)
    });
    if bent {
        track.bend_range();
    }
    let markers: Vec<String> = part.lines.iter().map(marker).collect();
    let mut at = 0_u32;
    let mut tempo = 0.0_f64;
    let mut meter = None;
    let mut dynamic = NO_MARK;
    for (barred_line, marker) in barred.lines.iter().zip(&markers) {
        let line = barred_line.line;
        track.meta(at, MetaMessage::Marker(marker.as_bytes()));
        if let Some((beats, unit)) = barred_line.meter.filter(|_| barred_line.meter != meter) {
            meter = barred_line.meter;
            let power = unit.trailing_zeros() as u8;
            track.meta(at, MetaMessage::TimeSignature(beats, power, 24, 8));
        }
        let sounding = line.key.transposed(part.transposition.0);
        track.meta(at, MetaMessage::KeySignature(sounding.0, false));
        if line.tempo.to_bits() != tempo.to_bits() && line.tempo > 0.0 {
            tempo = line.tempo;
            let micros = (60_000_000.0 / tempo).round().clamp(1.0, 16_777_215.0);
            track.meta(at, MetaMessage::Tempo(u24::new(micros as u32)));
        }
        for spoken in spoken(barred_line) {
            dynamic = spoken.note.dynamic.unwrap_or(dynamic);
            track.note(at, line, &spoken, playback, dynamic, bent)?;
        }
        at = at.saturating_add(barred_line.bars.iter().map(|bar| bar.length).sum());
    }
    track.meta(at, MetaMessage::EndOfTrack);
    let smf = Smf {
        header: Header::new(
            Format::SingleTrack,
            Timing::Metrical(u15::new(TICKS_PER_QUARTER as u16)),
        ),
        tracks: vec![track.deltas()],
    };
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes)
        .map_err(|error| Error::Midi(error.to_string()))?;
    Ok(bytes)
}

fn marker(line: &Line) -> String {
    let text = match (line.exercise.is_empty(), line.label.is_empty()) {
        (false, false) => format!("{}: {}", line.exercise, line.label),
        (false, true) => line.exercise.clone(),
        (true, _) => line.label.clone(),
    };
    crate::musicxml::printable(&text)
}

/// A whole note of the part, with its tied pieces put together again.
struct Spoken<'a> {
    note: &'a Note,
    start: u32,
    length: u32,
    /// The next note is slurred to it.
    slurred_on: bool,
}

fn spoken<'a>(line: &BarredLine<'a>) -> Vec<Spoken<'a>> {
    let mut all: Vec<Spoken<'a>> = Vec::new();
    let mut bar_start = 0_u32;
    for bar in &line.bars {
        for symbol in &bar.symbols {
            let Some(head) = &symbol.head else { continue };
            match all.last_mut().filter(|_| head.piece > 0) {
                Some(last) => last.length += symbol.ticks,
                None => {
                    if let Some(last) = all.last_mut() {
                        last.slurred_on = head.note.slurred;
                    }
                    all.push(Spoken {
                        note: head.note,
                        start: bar_start + symbol.start,
                        length: symbol.ticks,
                        slurred_on: false,
                    });
                }
            }
        }
        bar_start += bar.length;
    }
    all
}

/// Events at absolute times, in the order that they were put.
#[derive(Default)]
struct Track<'a> {
    events: Vec<(u32, TrackEventKind<'a>)>,
}

impl<'a> Track<'a> {
    fn meta(&mut self, at: u32, message: MetaMessage<'a>) {
        self.events.push((at, TrackEventKind::Meta(message)));
    }

    fn midi(&mut self, at: u32, message: MidiMessage) {
        let channel = u4::new(0);
        self.events
            .push((at, TrackEventKind::Midi { channel, message }));
    }

    /// Registered parameter number 0, pitch bend sensitivity, then the null parameter.
    fn bend_range(&mut self) {
        for (controller, value) in [
            (101, 0),
            (100, 0),
            (6, BEND_RANGE_SEMITONES),
            (38, 0),
            (101, 127),
            (100, 127),
        ] {
            let (controller, value) = (u7::new(controller), u7::new(value));
            self.midi(0, MidiMessage::Controller { controller, value });
        }
    }

    fn note(
        &mut self,
        line_at: u32,
        line: &Line,
        spoken: &Spoken<'_>,
        playback: &Playback,
        dynamic: Dynamic,
        bent: bool,
    ) -> Result<(), Error> {
        let note = spoken.note;
        let cents = playback.offset(line, note).0;
        // Within the bend range the key stays the note's own.
        let range = 100.0 * f64::from(BEND_RANGE_SEMITONES);
        let shift = if cents.abs() < range {
            0.0
        } else {
            (cents / 100.0).round()
        };
        let key = i64::from(note.sounding.midi()) + shift as i64;
        let key = u8::try_from(key)
            .ok()
            .filter(|k| *k < 128)
            .ok_or_else(|| Error::Pitch {
                place: format!("line {}, note {}", line.id, note.id),
                pitch: note.sounding.to_string(),
                limit: "MIDI keys 0 to 127, C-1 to G9",
            })?;
        let start = line_at.saturating_add(spoken.start);
        if bent {
            let bend = (8192.0 * (cents - 100.0 * shift) / range).round() + 8192.0;
            let bend = PitchBend(u14::new(bend.clamp(0.0, 16_383.0) as u16));
            self.midi(start, MidiMessage::PitchBend { bend });
        }
        let key = u7::new(key);
        let vel = u7::new(velocity(dynamic));
        self.midi(start, MidiMessage::NoteOn { key, vel });
        let held = match note.articulation {
            _ if spoken.slurred_on => spoken.length,
            Articulation::Staccato => spoken.length / 2,
            Articulation::Tenuto => spoken.length,
            Articulation::Plain | Articulation::Accent => spoken.length - spoken.length / 16,
        };
        let vel = u7::new(0);
        self.midi(
            start.saturating_add(held.max(1)),
            MidiMessage::NoteOff { key, vel },
        );
        Ok(())
    }

    /// The events in order of time, with note-offs before what begins at the same tick.
    fn deltas(mut self) -> Vec<TrackEvent<'a>> {
        let off = |kind: &TrackEventKind<'_>| {
            matches!(
                kind,
                TrackEventKind::Midi {
                    message: MidiMessage::NoteOff { .. },
                    ..
                }
            )
        };
        let end = |kind: &TrackEventKind<'_>| {
            matches!(kind, TrackEventKind::Meta(MetaMessage::EndOfTrack))
        };
        self.events
            .sort_by_key(|(at, kind)| (*at, end(kind), !off(kind)));
        let mut now = 0;
        self.events
            .into_iter()
            .map(|(at, kind)| {
                let delta = u28::new((at - now).min(0x0fff_ffff));
                now = at;
                TrackEvent { delta, kind }
            })
            .collect()
    }
}
