//! The last seconds of a stream: which note was held, and when it went over into another.
//!
//! Live moments tell *that* a slur was played; how it went is then heard from the sound around it
//! by the same ear that hears files, so the stand and the take say the same.

use std::collections::VecDeque;

use ear::live::Moment;
use ear::{Expected, ExpectedLine, ExpectedNote, HeardSlur, Samples};

/// Sound that is kept, seconds: the end of one note and the beginning of the next with room.
const KEPT_S: f64 = 3.0;
/// A pitch that stays within this of its own mean is one held note, cents.
const BAND_CENTS: f64 = 60.0;
/// A pitch that stayed for this long is a note, seconds.
const SETTLED_S: f64 = 0.08;
/// The new note is heard this long before the slur is looked at, seconds: the ear asks for a
/// steady stretch on either side.
const HEARD_S: f64 = 0.3;
/// Notes further apart than this were not slurred, seconds.
const APART_S: f64 = 0.15;
/// Sound before the change that is looked at, seconds.
const BEFORE_S: f64 = 0.7;
/// Where the level falls further than this below both notes, the first was ended, dB: slurs stay
/// well within it (our choice).
const STOP_DB: f64 = 20.0;
/// The start of a note is not yet its pitch, seconds.
const START_S: f64 = 0.08;

/// A note that was held.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Held {
    /// Where it stands in the part: line and note.
    pub(super) place: Option<(usize, usize)>,
    /// When it began, seconds.
    pub(super) from_s: f64,
    /// When it was last heard.
    pub(super) to_s: f64,
    hz: f64,
    off: Vec<f64>,
    power: f64,
    count: f64,
}

impl Held {
    fn begin(moment: &Moment) -> Self {
        Self {
            place: moment.place,
            from_s: moment.at_s,
            to_s: moment.at_s,
            hz: moment.hz,
            off: Vec::new(),
            power: 0.0,
            count: 0.0,
        }
    }

    fn takes(&self, moment: &Moment) -> bool {
        moment.hz > 0.0 && (1200.0 * (moment.hz / self.hz).log2()).abs() < BAND_CENTS
    }

    fn go_on(&mut self, moment: &Moment) {
        self.to_s = moment.at_s;
        self.place = moment.place.or(self.place);
        // The mean follows slowly, so that a note that sinks stays one note.
        self.hz *= (moment.hz / self.hz).powf(0.1);
        if moment.at_s > self.from_s + START_S {
            self.off.extend(moment.cents);
            self.power += 10.0_f64.powf(moment.level_db / 10.0);
            self.count += 1.0;
        }
    }

    /// Middle of its distance from what was asked, cents.
    pub(super) fn cents(&self) -> Option<f64> {
        let mut off = self.off.clone();
        off.sort_by(f64::total_cmp);
        off.get(off.len() / 2).copied()
    }

    /// Its mean level, dB against full scale.
    pub(super) fn level_db(&self) -> Option<f64> {
        (self.count > 0.0).then(|| 10.0 * (self.power / self.count).max(1e-20).log10())
    }
}

/// Two notes that were slurred, with the sound around the change.
#[derive(Clone, Debug)]
pub(super) struct Change {
    /// The note that was left.
    pub(super) old: Held,
    /// The note that was entered.
    pub(super) new: Held,
    /// When the sound begins, seconds from the start of the stream.
    begin_s: f64,
    sound: Samples,
}

/// What a moment completed.
#[derive(Debug)]
pub(super) enum Done {
    /// A note ended.
    Note(Held),
    /// A slur went by.
    Slur(Box<Change>),
}

/// Follows one stream.
pub(super) struct Passage {
    rate: f64,
    sound: VecDeque<f32>,
    taken: u64,
    /// The note that is held.
    now: Option<Held>,
    /// A pitch that may become the next note.
    next: Option<Held>,
    /// The note before, while the slur into the present one waits to be looked at.
    left: Option<Held>,
}

impl Passage {
    /// For a stream of `rate` samples a second.
    pub(super) fn new(rate: f64) -> Self {
        Self {
            rate,
            sound: VecDeque::with_capacity((KEPT_S * rate) as usize + 1),
            taken: 0,
            now: None,
            next: None,
            left: None,
        }
    }

    /// Takes sound in.
    pub(super) fn push(&mut self, block: &[f32]) {
        self.sound.extend(block);
        self.taken += block.len() as u64;
        let spare = self
            .sound
            .len()
            .saturating_sub((KEPT_S * self.rate) as usize);
        self.sound.drain(..spare);
    }

    /// Takes a moment in and tells what it completed.
    pub(super) fn moment(&mut self, moment: &Moment, mut tell: impl FnMut(Done)) {
        if let Some(now) = self.now.as_mut().filter(|now| now.takes(moment)) {
            now.go_on(moment);
            self.next = None;
            if moment.at_s >= now.from_s + HEARD_S
                && let Some(old) = self.left.take()
                && let Some(change) = self.change(old)
            {
                tell(Done::Slur(Box::new(change)));
            }
            return;
        }
        if moment.hz > 0.0 {
            match self.next.as_mut().filter(|next| next.takes(moment)) {
                Some(next) => next.go_on(moment),
                None => self.next = Some(Held::begin(moment)),
            }
        }
        let settled = self
            .next
            .as_ref()
            .is_some_and(|next| next.to_s - next.from_s >= SETTLED_S);
        let silent = self
            .now
            .as_ref()
            .is_some_and(|now| moment.at_s - now.to_s > APART_S && moment.hz <= 0.0);
        if !settled && !silent {
            return;
        }
        let old = self.now.take();
        if settled {
            self.now = self.next.take();
        }
        self.left = None;
        let Some(old) = old else { return };
        let joined = self
            .now
            .as_ref()
            .is_some_and(|new| new.from_s - old.to_s < APART_S);
        if joined {
            self.left = Some(old.clone());
        }
        tell(Done::Note(old));
    }

    fn change(&self, old: Held) -> Option<Change> {
        let new = self.now.clone()?;
        let oldest_s = (self.taken - self.sound.len() as u64) as f64 / self.rate;
        let begin_s = (new.from_s - BEFORE_S)
            .max(old.from_s - START_S)
            .max(oldest_s);
        let spare = ((begin_s - oldest_s) * self.rate) as usize;
        let sound: Vec<f32> = self
            .sound
            .range(spare.min(self.sound.len())..)
            .copied()
            .collect();
        Some(Change {
            old,
            new,
            begin_s,
            sound: Samples::new(self.rate, sound),
        })
    }
}

impl Change {
    /// Hears how the slur went; times count from the start of the stream. `None` when the ear
    /// finds that the notes were not slurred after all.
    pub(super) fn hear(&self, expected: Option<&Expected>) -> Option<HeardSlur> {
        let asked = expected.and_then(|expected| self.asked(expected));
        let tongued = |asked: &Expected| asked.note(0, 1).is_some_and(|new| !new.slurred);
        if asked.as_ref().is_some_and(tongued) {
            return None;
        }
        let heard = ear::hear(&self.sound, asked.as_ref(), &ear::Settings::default());
        let mut slur = heard.slurs.into_iter().next_back()?;
        if slur.dip_db.value().is_some_and(|dip| dip > STOP_DB) {
            return None;
        }
        slur.left_s += self.begin_s;
        slur.entered_s += self.begin_s;
        for caught in &mut slur.caught {
            caught.from_s += self.begin_s;
        }
        Some(slur)
    }

    /// The two notes as a line of their own, when the part asks for both.
    fn asked(&self, expected: &Expected) -> Option<Expected> {
        let ((line, from), (same, to)) = (self.old.place?, self.new.place?);
        if line != same || from == to {
            return None;
        }
        let old = ExpectedNote {
            start_s: 0.0,
            seconds: BEFORE_S,
            slurred: false,
            ..expected.note(line, from)?.clone()
        };
        let new = ExpectedNote {
            start_s: BEFORE_S,
            seconds: HEARD_S,
            ..expected.note(line, to)?.clone()
        };
        Some(Expected {
            lines: vec![ExpectedLine {
                notes: vec![old, new],
                ..expected.lines.get(line)?.clone()
            }],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a second on one pitch, a slur of 40 ms, half a second on the next, silence.
    fn play(rate: f64, from_hz: f64, to_hz: f64) -> (Vec<Held>, Vec<Change>) {
        let mut phase = 0.0_f64;
        let sound: Vec<f32> = (0..(1.6 * rate) as usize)
            .map(|i| {
                let at_s = i as f64 / rate;
                let along = ((at_s - 0.5) / 0.04).clamp(0.0, 1.0);
                phase += from_hz * (to_hz / from_hz).powf(along) / rate;
                let turn = std::f64::consts::TAU * phase;
                let wave: f64 = (1..7)
                    .map(|h| (turn * f64::from(h)).sin() / f64::from(h))
                    .sum();
                if at_s < 1.1 { 0.2 * wave as f32 } else { 0.0 }
            })
            .collect();
        let mut live = ear::live::Live::new(rate, 512, None);
        let mut passage = Passage::new(rate);
        let (mut notes, mut changes) = (Vec::new(), Vec::new());
        for block in sound.chunks(512) {
            passage.push(block);
            let mut moments = Vec::new();
            live.push(block, |moment| moments.push(*moment));
            for moment in &moments {
                passage.moment(moment, |done| match done {
                    Done::Note(note) => notes.push(note),
                    Done::Slur(change) => changes.push(*change),
                });
            }
        }
        (notes, changes)
    }

    #[test]
    fn two_notes_and_the_slur_between_them_are_told() {
        for (from, to) in [(233.08, 349.23), (349.23, 466.16), (466.16, 293.66)] {
            let (notes, changes) = play(48_000.0, from, to);
            assert_eq!(notes.len(), 2, "{from} to {to}");
            let [change] = changes.as_slice() else {
                panic!("{} slurs from {from} to {to}", changes.len());
            };
            let slur = change.hear(None).expect("a slur");
            // The glide takes 40 ms; what is left is the ear's own uncertainty.
            assert!((slur.left_s - 0.5).abs() < 0.03, "left at {}", slur.left_s);
            assert!(
                (slur.entered_s - 0.54).abs() < 0.03,
                "entered at {}",
                slur.entered_s
            );
        }
    }
}
