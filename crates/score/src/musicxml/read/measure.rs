//! One measure of the file: attributes, directions and notes put on a time line.

use routine::part::{Articulation, Dynamic};
use roxmltree::Node;
use tone::{Clef, Interval, KeySignature, Letter, Pitch, Transposition};

/// A thing on the time line, in ticks from the start of the part as it is played.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub start: f64,
    pub what: What,
}

/// What a thing is.
#[derive(Clone, Debug)]
pub(super) enum What {
    Note(Sounded),
    /// A new line begins here, with a label if the file has one.
    Cut(Option<String>),
    Tempo(f64),
    Key(KeySignature),
}

/// A note before ties are joined.
#[derive(Clone, Debug)]
pub(super) struct Sounded {
    pub pitch: Pitch,
    pub ticks: f64,
    pub tied_from: bool,
    pub slurred: bool,
    pub breath: bool,
    pub articulation: Articulation,
    pub dynamic: Option<Dynamic>,
    pub fingering: String,
}

/// What holds from measure to measure.
#[derive(Debug, Default)]
pub(super) struct State {
    pub items: Vec<Item>,
    pub at: f64,
    pub clef: Option<Clef>,
    pub meter: Option<(u8, u8)>,
    pub transposition: Option<Transposition>,
    pub remarks: std::collections::BTreeSet<&'static str>,
    divisions: f64,
    voice: Option<String>,
    slurs: std::collections::BTreeSet<String>,
    dynamic: Option<Dynamic>,
}

const TICKS: f64 = routine::part::TICKS_PER_QUARTER as f64;

fn child<'a>(node: Node<'a, 'a>, name: &str) -> Option<Node<'a, 'a>> {
    node.children().find(|n| n.has_tag_name(name))
}

fn value<'a, T: std::str::FromStr>(node: Node<'a, 'a>, name: &str) -> Option<T> {
    child(node, name)?.text()?.trim().parse().ok()
}

impl State {
    /// Reads one measure, moving on by its length.
    pub(super) fn measure(&mut self, measure: Node<'_, '_>) {
        let start = self.at;
        let mut cursor = start;
        let mut end = start;
        for element in measure.children().filter(Node::is_element) {
            match element.tag_name().name() {
                "attributes" => self.attributes(element, cursor),
                "direction" => self.direction(element, cursor),
                "sound" => self.tempo(element.attribute("tempo"), cursor),
                "note" => self.note(element, &mut cursor),
                "backup" => cursor = (cursor - self.duration(element)).max(start),
                "forward" => cursor += self.duration(element),
                "barline" => self.barline(element, start, end),
                _ => {}
            }
            end = end.max(cursor);
        }
        self.at = end;
    }

    fn push(&mut self, start: f64, what: What) {
        self.items.push(Item { start, what });
    }

    fn duration(&self, element: Node<'_, '_>) -> f64 {
        let divisions = if self.divisions > 0.0 {
            self.divisions
        } else {
            1.0
        };
        let duration: f64 = value(element, "duration").unwrap_or(0.0);
        if duration.is_finite() {
            (duration * TICKS / divisions).clamp(0.0, 1e7)
        } else {
            0.0
        }
    }

    fn attributes(&mut self, element: Node<'_, '_>, at: f64) {
        if let Some(divisions) = value(element, "divisions") {
            self.divisions = divisions;
        }
        for item in element.children() {
            match item.tag_name().name() {
                "key" => {
                    let fifths: i8 = value(item, "fifths").unwrap_or(0);
                    self.push(at, What::Key(KeySignature(fifths.clamp(-7, 7))));
                }
                "time" => {
                    let beats: Option<u8> = value(item, "beats");
                    let meter = beats.zip(value(item, "beat-type"));
                    if self.meter.is_some() && meter != self.meter {
                        self.remarks.insert(
                            "The time signature changes; the first one is kept for printing.",
                        );
                    }
                    self.meter = self.meter.or(meter);
                }
                "clef" => self.clef = self.clef.or_else(|| Some(clef(item, &mut self.remarks))),
                "transpose" if self.transposition.is_none() => {
                    self.transposition = Some(transposition(item));
                }
                _ => {}
            }
        }
    }

    fn direction(&mut self, element: Node<'_, '_>, at: f64) {
        for item in element.descendants() {
            match item.tag_name().name() {
                "rehearsal" => {
                    let label = item.text().unwrap_or_default().trim().to_owned();
                    self.push(at, What::Cut(Some(label)));
                }
                "sound" => self.tempo(item.attribute("tempo"), at),
                "per-minute" if child(element, "sound").is_none() => {
                    self.metronome(item, at);
                }
                "dynamics" => {
                    let name = item.children().find(Node::is_element);
                    self.dynamic = name
                        .and_then(|n| dynamic(n.tag_name().name()))
                        .or(self.dynamic);
                }
                _ => {}
            }
        }
    }

    fn tempo(&mut self, tempo: Option<&str>, at: f64) {
        let tempo: Option<f64> = tempo.and_then(|t| t.trim().parse().ok());
        if let Some(tempo) = tempo.filter(|t| t.is_finite() && (5.0..=1000.0).contains(t)) {
            self.push(at, What::Tempo(tempo));
        }
    }

    /// A metronome mark without a `sound` of its own.
    fn metronome(&mut self, per_minute: Node<'_, '_>, at: f64) {
        let Some(mark) = per_minute.parent() else {
            return;
        };
        let quarters = match child(mark, "beat-unit").and_then(|n| n.text()) {
            Some("whole") => 4.0,
            Some("half") => 2.0,
            Some("eighth") => 0.5,
            Some("16th") => 0.25,
            _ => 1.0,
        };
        let dotted = child(mark, "beat-unit-dot").is_some();
        let number: Option<f64> = per_minute.text().and_then(|t| t.trim().parse().ok());
        if let Some(number) = number {
            let tempo = number * quarters * if dotted { 1.5 } else { 1.0 };
            self.tempo(Some(&tempo.to_string()), at);
        }
    }

    fn barline(&mut self, element: Node<'_, '_>, start: f64, end: f64) {
        let at = if element.attribute("location") == Some("left") {
            start
        } else {
            end
        };
        let repeat = child(element, "repeat").is_some();
        let style = child(element, "bar-style").and_then(|n| n.text());
        if repeat || matches!(style, Some("light-light" | "light-heavy" | "heavy-light")) {
            self.push(at, What::Cut(None));
        }
    }

    fn note(&mut self, element: Node<'_, '_>, cursor: &mut f64) {
        if child(element, "grace").is_some() {
            self.remarks.insert("Grace notes are left out.");
            return;
        }
        let ticks = self.duration(element);
        let chord = child(element, "chord").is_some();
        let start = if chord { *cursor - ticks } else { *cursor };
        if !chord {
            *cursor += ticks;
        }
        let voice = child(element, "voice")
            .and_then(|n| n.text())
            .unwrap_or("1")
            .trim()
            .to_owned();
        if *self.voice.get_or_insert_with(|| voice.clone()) != voice {
            self.remarks.insert("Only the first voice is read.");
            return;
        }
        if child(element, "cue").is_some() {
            self.remarks.insert("Cue notes are read as rests.");
            return;
        }
        let Some(pitch) = child(element, "pitch").and_then(pitch) else {
            if child(element, "unpitched").is_some() {
                self.remarks
                    .insert("Notes without pitch are read as rests.");
            }
            return;
        };
        if chord {
            self.remarks.insert("Chords are read as their top note.");
            if let Some(Item {
                what: What::Note(note),
                ..
            }) = self.items.last_mut()
                && note.pitch.midi() < pitch.midi()
            {
                note.pitch = pitch;
            }
            return;
        }
        let slurred = !self.slurs.is_empty();
        let mut note = Sounded {
            pitch,
            ticks,
            tied_from: element
                .children()
                .any(|n| n.has_tag_name("tie") && n.attribute("type") == Some("stop")),
            slurred,
            breath: false,
            articulation: Articulation::Plain,
            dynamic: self.dynamic.take(),
            fingering: String::new(),
        };
        for notations in element.children().filter(|n| n.has_tag_name("notations")) {
            self.notations(notations, &mut note);
        }
        if note.ticks > 0.0 {
            self.push(start, What::Note(note));
        }
    }

    fn notations(&mut self, notations: Node<'_, '_>, note: &mut Sounded) {
        for item in notations.descendants() {
            match item.tag_name().name() {
                "slur" => {
                    let number = item.attribute("number").unwrap_or("1").to_owned();
                    match item.attribute("type") {
                        Some("start") => self.slurs.insert(number),
                        Some("stop") => self.slurs.remove(&number),
                        _ => false,
                    };
                }
                "breath-mark" => note.breath = true,
                "staccato" | "staccatissimo" => note.articulation = Articulation::Staccato,
                "tenuto" => note.articulation = Articulation::Tenuto,
                "accent" | "strong-accent" => note.articulation = Articulation::Accent,
                "fingering" => {
                    note.fingering = item.text().unwrap_or_default().trim().to_owned();
                }
                _ => {}
            }
        }
    }
}

fn clef(element: Node<'_, '_>, remarks: &mut std::collections::BTreeSet<&'static str>) -> Clef {
    let sign = child(element, "sign")
        .and_then(|n| n.text())
        .unwrap_or("G")
        .trim()
        .to_owned();
    match (sign.as_str(), value::<i8>(element, "line")) {
        ("G", _) => Clef::Treble,
        ("F", _) => Clef::Bass,
        ("C", Some(4)) => Clef::Tenor,
        ("C", _) => Clef::Alto,
        _ => {
            remarks.insert("The clef is none that brass parts use; treble is taken.");
            Clef::Treble
        }
    }
}

fn transposition(element: Node<'_, '_>) -> Transposition {
    // Usual number of staff steps for a chromatic interval, where the file leaves it out.
    const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
    let chromatic = value::<f64>(element, "chromatic")
        .unwrap_or(0.0)
        .clamp(-60.0, 60.0) as i32;
    let octaves: i32 = value(element, "octave-change").unwrap_or(0).clamp(-5, 5);
    let usual = || {
        let size = chromatic.abs();
        let steps = STEPS.get((size % 12) as usize).copied().unwrap_or(0) + 7 * (size / 12);
        steps * chromatic.signum()
    };
    let diatonic: i32 = value(element, "diatonic")
        .unwrap_or_else(usual)
        .clamp(-35, 35);
    Transposition(Interval::new(
        diatonic + 7 * octaves,
        chromatic + 12 * octaves,
    ))
}

fn pitch<'a>(element: Node<'a, 'a>) -> Option<Pitch> {
    let letter = match child(element, "step")?.text()?.trim() {
        "C" => Letter::C,
        "D" => Letter::D,
        "E" => Letter::E,
        "F" => Letter::F,
        "G" => Letter::G,
        "A" => Letter::A,
        "B" => Letter::B,
        _ => return None,
    };
    // Quarter tones are brought to the semitone; brass parts seldom have them.
    let alter: f64 = value(element, "alter").unwrap_or(0.0);
    let octave: i8 = value(element, "octave")?;
    ((0..=9).contains(&octave) && alter.abs() <= 3.0)
        .then(|| Pitch::new(letter, alter.trunc() as i8, octave))
}

fn dynamic(name: &str) -> Option<Dynamic> {
    Some(match name {
        "pp" | "ppp" | "pppp" => Dynamic::Pp,
        "p" => Dynamic::P,
        "mp" => Dynamic::Mp,
        "mf" => Dynamic::Mf,
        "f" | "fp" | "sf" | "sfz" => Dynamic::F,
        "ff" | "fff" | "ffff" => Dynamic::Ff,
        _ => return None,
    })
}
