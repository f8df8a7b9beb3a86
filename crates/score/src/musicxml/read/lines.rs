//! From the time line to lines: ties joined, gaps made rests, cut where the music is cut.

use routine::part::{Event, Fingered, Line, Note, Ticks};
use roxmltree::{Document, Node};
use tone::{Clef, KeySignature, Pitch, Sounding, Transposition, Written};

use super::measure::{Item, Sounded, State, What};
use super::{Imported, ImportedEvent, ImportedLine, ImportedNote, order};
use crate::Error;

/// Tempo where the file gives none: the default of the Standard MIDI File.
const NO_TEMPO: f64 = 120.0;

/// Reads the chosen part of a document.
pub(super) fn read(document: &Document<'_>, wanted: Option<&str>) -> Result<Imported, Error> {
    let root = document.root_element();
    match root.tag_name().name() {
        "score-partwise" => {}
        "score-timewise" => {
            return Err(refuse(
                "it is written timewise; save it as a partwise score",
            ));
        }
        other => {
            return Err(refuse(&format!(
                "the file begins with <{other}>, not <score-partwise>"
            )));
        }
    }
    let (part, name) = choose(root, wanted)?;
    let measures: Vec<Node<'_, '_>> = part
        .children()
        .filter(|n| n.has_tag_name("measure"))
        .collect();
    let order = order::played(&measures);
    let mut state = State::default();
    let mut starts = Vec::with_capacity(order.len());
    for &index in &order {
        if let Some(measure) = measures.get(index) {
            starts.push((state.at, measure.attribute("number").unwrap_or_default()));
            state.measure(*measure);
        }
    }
    let transposition = state.transposition.unwrap_or(Transposition::CONCERT);
    let title = title(root);
    let lines = cut(
        std::mem::take(&mut state.items),
        state.at,
        transposition,
        &starts,
    );
    if lines.is_empty() {
        return Err(Error::Empty {
            title: if title.is_empty() { name } else { title },
            left_out: Vec::new(),
        });
    }
    let mut remarks: Vec<String> = state.remarks.iter().map(ToString::to_string).collect();
    if order.len() > measures.len() {
        remarks.push("Repeats are played out.".to_owned());
    }
    Ok(Imported {
        title,
        name,
        clef: state.clef.unwrap_or(Clef::Treble),
        transposition,
        meter: state.meter,
        lines,
        remarks,
    })
}

fn refuse(what: &str) -> Error {
    Error::NotMusicXml {
        what: what.to_owned(),
    }
}

/// The part to read and its name.
fn choose<'a>(root: Node<'a, 'a>, wanted: Option<&str>) -> Result<(Node<'a, 'a>, String), Error> {
    let named = |id: &str| {
        root.descendants()
            .filter(|n| n.has_tag_name("score-part"))
            .find(|n| n.attribute("id") == Some(id))
            .and_then(|n| n.children().find(|c| c.has_tag_name("part-name"))?.text())
            .unwrap_or_default()
            .trim()
            .to_owned()
    };
    let parts: Vec<(Node<'_, '_>, &str, String)> = root
        .children()
        .filter(|n| n.has_tag_name("part"))
        .map(|n| {
            let id = n.attribute("id").unwrap_or_default();
            (n, id, named(id))
        })
        .collect();
    let list = || {
        let all: Vec<String> = parts
            .iter()
            .map(|(_, id, name)| format!("{id} ({name})"))
            .collect();
        all.join(", ")
    };
    match (wanted, parts.as_slice()) {
        (_, []) => Err(refuse("it holds no part")),
        (None, [(node, _, name)]) => Ok((*node, name.clone())),
        (None, _) => Err(refuse(&format!(
            "it holds several parts; choose one of: {}",
            list()
        ))),
        (Some(wanted), _) => parts
            .iter()
            .find(|(_, id, name)| *id == wanted || name == wanted)
            .map(|(node, _, name)| (*node, name.clone()))
            .ok_or_else(|| refuse(&format!("no part `{wanted}`; choose one of: {}", list()))),
    }
}

fn title(root: Node<'_, '_>) -> String {
    ["work-title", "movement-title"]
        .into_iter()
        .filter_map(|name| root.descendants().find(|n| n.has_tag_name(name))?.text())
        .map(|text| text.split_whitespace().collect::<Vec<_>>().join(" "))
        .find(|text| !text.is_empty())
        .unwrap_or_default()
}

/// Builds lines along the time line.
struct Cutter {
    transposition: Transposition,
    lines: Vec<ImportedLine>,
    line: Option<ImportedLine>,
    label: Option<String>,
    key: KeySignature,
    tempo: f64,
    /// Where the last note ends.
    at: f64,
}

impl Cutter {
    /// Ends the line that is open; the rest up to `until` belongs to it.
    fn close(&mut self, until: f64) {
        if let Some(mut line) = self.line.take() {
            line.rest_after = ticks(self.at, until);
            self.lines.push(line);
        }
        self.at = self.at.max(until);
    }

    fn note(&mut self, start: f64, note: Sounded, bar: &str) {
        let last = self.line.as_mut().and_then(|line| line.events.last_mut());
        if let Some(ImportedEvent::Note(before)) = last
            && note.tied_from
            && before.written.0.midi() == note.pitch.midi()
            && (start - self.at).abs() < 0.5
        {
            before.duration.0 += ticks(self.at, start + note.ticks).0;
            self.at = start + note.ticks;
            self.breathe(note.breath);
            return;
        }
        let (key, tempo, at) = (self.key, self.tempo, &mut self.at);
        let label = &mut self.label;
        let line = self.line.get_or_insert_with(|| {
            *at = start;
            ImportedLine {
                label: label.take().unwrap_or_else(|| format!("bar {bar}")),
                key,
                tempo,
                events: Vec::new(),
                rest_after: Ticks(0),
            }
        });
        let gap = ticks(*at, start);
        if gap.0 > 0 {
            line.events.push(ImportedEvent::Rest(gap));
        }
        let written = Written(note.pitch);
        line.events.push(ImportedEvent::Note(ImportedNote {
            written,
            sounding: self.transposition.sounding(written),
            duration: ticks(start, start + note.ticks),
            slurred: note.slurred && gap.0 == 0 && !line.events.is_empty(),
            articulation: note.articulation,
            dynamic: note.dynamic,
            fingering: note.fingering,
        }));
        *at = start + note.ticks;
        self.breathe(note.breath);
    }

    fn breathe(&mut self, breath: bool) {
        if let Some(line) = self.line.as_mut().filter(|_| breath) {
            line.events.push(ImportedEvent::Breath);
        }
    }
}

/// Ticks between two places on the time line, each brought to its nearest tick.
fn ticks(from: f64, to: f64) -> Ticks {
    Ticks((to.round() - from.round()).max(0.0) as u32)
}

fn cut(
    mut items: Vec<Item>,
    end: f64,
    transposition: Transposition,
    starts: &[(f64, &str)],
) -> Vec<ImportedLine> {
    items.sort_by(|a, b| a.start.total_cmp(&b.start));
    let mut cutter = Cutter {
        transposition,
        lines: Vec::new(),
        line: None,
        label: None,
        key: KeySignature(0),
        tempo: NO_TEMPO,
        at: 0.0,
    };
    // What stands at the same place as a note comes before it, whatever the file's order.
    let place = |what: &What| u8::from(matches!(what, What::Note(_)));
    items.sort_by(|a, b| {
        a.start
            .total_cmp(&b.start)
            .then_with(|| place(&a.what).cmp(&place(&b.what)))
    });
    for Item { start, what } in items {
        match what {
            What::Cut(label) => {
                cutter.close(start);
                cutter.label = label.or(cutter.label.take());
            }
            What::Tempo(tempo) => {
                if tempo.to_bits() != cutter.tempo.to_bits() {
                    cutter.close(start);
                    cutter.tempo = tempo;
                }
            }
            What::Key(key) => {
                if key != cutter.key {
                    cutter.close(start);
                    cutter.key = key;
                }
            }
            What::Note(note) => {
                let index = starts.partition_point(|(at, _)| *at <= start + 0.5);
                let bar = index
                    .checked_sub(1)
                    .and_then(|i| starts.get(i))
                    .map_or("", |s| s.1);
                cutter.note(start, note, bar);
            }
        }
    }
    cutter.close(end);
    cutter.lines
}

/// The lines of a part, with a fingering for each note.
pub(super) fn with_fingerings(
    imported: &Imported,
    mut finger: impl FnMut(&ImportedNote) -> Fingered,
) -> Vec<Line> {
    let mut lines = Vec::with_capacity(imported.lines.len());
    for (index, line) in imported.lines.iter().enumerate() {
        let id = format!("l{}", index + 1);
        let mut count = 0;
        let events = line
            .events
            .iter()
            .map(|event| match event {
                ImportedEvent::Note(note) => {
                    count += 1;
                    Event::Note(Note {
                        id: format!("{id}n{count}"),
                        written: note.written,
                        sounding: note.sounding,
                        duration: note.duration,
                        fingering: finger(note),
                        slurred: note.slurred,
                        articulation: note.articulation,
                        dynamic: note.dynamic,
                    })
                }
                ImportedEvent::Rest(duration) => Event::Rest {
                    duration: *duration,
                },
                ImportedEvent::Breath => Event::Breath,
            })
            .collect();
        lines.push(Line {
            label: line.label.clone(),
            exercise: imported.title.clone(),
            key: line.key,
            root: imported.transposition.sounding(tonic(line.key)),
            events,
            rest_after: line.rest_after,
            tempo: line.tempo,
            load: 0.0,
            id,
        });
    }
    lines
}

/// The major tonic of a key signature, in the octave of middle C.
fn tonic(key: KeySignature) -> Written {
    let midi = 60 + (i32::from(key.0) * 7).rem_euclid(12);
    // Staff step of the tonic: four steps up for every fifth.
    let step = 28 + (i32::from(key.0) * 4).rem_euclid(7);
    Written(match Pitch::from_step_and_midi(step, midi) {
        pitch if pitch.alter.abs() <= 1 => pitch,
        _ => Sounding(Pitch::from_midi(midi)).0,
    })
}
