//! The ear behind one recording: what is heard while the sound comes in.

use std::sync::Arc;

use ear::Expected;
use ear::level::{Calibration, Weighting};
use ear::live::{Live, Moment};
use routine::Part;
use studio::sound::journal::{Format, MOST_SAMPLES};
use tokio::sync::OwnedSemaphorePermit;

use super::level::Level;
use super::message::{NoteHeard, SlurHeard, State};
use super::passage::{Change, Done, Passage};

/// Hears one stream; holds one of the places there are for that.
pub(super) struct Listener {
    rate: f64,
    live: Live,
    passage: Passage,
    /// Weighs the level as a meter does, when one was read.
    meter: Option<(Weighting, Level, f64)>,
    block: Vec<f32>,
    moments: Vec<Moment>,
    names: Arc<Names>,
    expected: Option<Arc<Expected>>,
    _place: OwnedSemaphorePermit,
}

/// Ids of the lines and of their notes, by place.
struct Names(Vec<(String, Vec<String>)>);

impl Names {
    fn of(part: Option<&Part>) -> Self {
        let lines = part.into_iter().flat_map(|part| &part.lines);
        let named = lines.map(|line| {
            let notes = line.notes().map(|note| note.id.clone()).collect();
            (line.id.clone(), notes)
        });
        Self(named.collect())
    }

    fn line(&self, place: Option<(usize, usize)>) -> Option<String> {
        self.0.get(place?.0).map(|(id, _)| id.clone())
    }

    fn note(&self, place: Option<(usize, usize)>) -> Option<String> {
        let (line, note) = place?;
        self.0.get(line)?.1.get(note).cloned()
    }
}

/// What a block completed beside the latest moment.
pub(super) enum Passed {
    /// A note that ended.
    Note(NoteHeard),
    /// A slur, still to be listened to.
    Slur(SlurToHear),
}

/// A slur that went by, with all that hearing it needs: may be sent to another thread.
pub(super) struct SlurToHear {
    change: Box<Change>,
    expected: Option<Arc<Expected>>,
    names: Arc<Names>,
}

impl SlurToHear {
    /// Hears it; `None` when it was none after all.
    pub(super) fn hear(&self) -> Option<SlurHeard> {
        let slur = self.change.hear(self.expected.as_deref())?;
        Some(SlurHeard {
            from: self.names.note(self.change.old.place),
            to: self.names.note(self.change.new.place),
            left_s: slur.left_s,
            entered_s: slur.entered_s,
            slur_ms: slur.slur_ms,
            dip_db: slur.dip_db,
            overshoot_cents: slur.overshoot_cents,
            caught: slur.caught,
        })
    }
}

impl Listener {
    /// For a stream of `rate` samples a second, against a part or freely; pitches lower than
    /// `lowest_hz` are not looked for in the first place.
    pub(super) fn new(
        rate: u32,
        lowest_hz: f64,
        asked: Option<(&Part, Expected)>,
        calibration: Option<Calibration>,
        place: OwnedSemaphorePermit,
    ) -> Self {
        let rate = f64::from(rate);
        let (part, expected) = asked.unzip();
        Self {
            rate,
            live: Live::new(rate, MOST_SAMPLES, expected.as_ref()).waiting_for(lowest_hz),
            passage: Passage::new(rate),
            meter: calibration.map(|read| (Weighting::a(rate), Level::default(), read.offset_db)),
            block: Vec::with_capacity(MOST_SAMPLES),
            moments: Vec::with_capacity(MOST_SAMPLES / 64),
            names: Arc::new(Names::of(part)),
            expected: expected.map(Arc::new),
            _place: place,
        }
    }

    /// Takes a block in, tells the latest moment in `state`, and what passed by with it. True when
    /// the block completed a moment.
    pub(super) fn hear(
        &mut self,
        format: Format,
        data: &[u8],
        state: &mut State,
        mut tell: impl FnMut(Passed),
    ) -> bool {
        self.block.clear();
        self.block.extend(format.samples(data).take(MOST_SAMPLES));
        if let Some((weighting, level, offset_db)) = &mut self.meter {
            let power: f64 = self
                .block
                .iter()
                .map(|x| weighting.next(f64::from(*x)).powi(2))
                .sum();
            let count = self.block.len().max(1) as f64;
            state.level_dba = Some(level.take(power / count, count / self.rate) + *offset_db);
        }
        self.passage.push(&self.block);
        self.moments.clear();
        let moments = &mut self.moments;
        self.live.push(&self.block, |now| moments.push(*now));
        for moment in &self.moments {
            self.passage.moment(moment, |done| match done {
                Done::Note(held) => tell(Passed::Note(NoteHeard {
                    line: self.names.line(held.place),
                    note: self.names.note(held.place),
                    from_s: held.from_s,
                    to_s: held.to_s,
                    pitch_cents: held.cents(),
                    level_db: held.level_db(),
                })),
                Done::Slur(change) => tell(Passed::Slur(SlurToHear {
                    change,
                    expected: self.expected.clone(),
                    names: Arc::clone(&self.names),
                })),
            });
        }
        if let Some(moment) = self.moments.last() {
            state.heard_s = Some(moment.at_s);
            state.f0_hz = (moment.hz > 0.0).then_some(moment.hz);
            state.confidence = moment.periodicity;
            state.cents = moment.cents;
            state.line = self.names.line(moment.place);
            state.note = self.names.note(moment.place);
        }
        !self.moments.is_empty()
    }
}
