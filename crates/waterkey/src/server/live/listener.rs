//! The ear behind one recording: what is heard while the sound comes in.

use ear::Expected;
use ear::live::{Live, Moment};
use routine::Part;
use studio::sound::journal::{Format, MOST_SAMPLES};
use tokio::sync::OwnedSemaphorePermit;

use super::message::State;

/// Hears one stream; holds one of the places there are for that.
pub(super) struct Listener {
    live: Live,
    block: Vec<f32>,
    moment: Moment,
    /// Ids of the lines and of their notes, by place.
    lines: Vec<(String, Vec<String>)>,
    _place: OwnedSemaphorePermit,
}

impl Listener {
    /// For a stream of `rate` samples a second, against a part or freely.
    pub(super) fn new(
        rate: u32,
        asked: Option<(&Part, &Expected)>,
        place: OwnedSemaphorePermit,
    ) -> Self {
        let lines = asked
            .into_iter()
            .flat_map(|(part, _)| &part.lines)
            .map(|line| {
                (
                    line.id.clone(),
                    line.notes().map(|note| note.id.clone()).collect(),
                )
            });
        Self {
            live: Live::new(
                f64::from(rate),
                MOST_SAMPLES,
                asked.map(|(_, expected)| expected),
            ),
            block: Vec::with_capacity(MOST_SAMPLES),
            moment: Moment::default(),
            lines: lines.collect(),
            _place: place,
        }
    }

    /// Takes a block in and tells the latest moment in `state`.
    pub(super) fn hear(&mut self, format: Format, data: &[u8], state: &mut State) {
        self.block.clear();
        self.block.extend(format.samples(data).take(MOST_SAMPLES));
        let moment = &mut self.moment;
        self.live.push(&self.block, |now| *moment = *now);
        state.f0_hz = (moment.hz > 0.0).then_some(moment.hz);
        state.confidence = moment.periodicity;
        state.cents = moment.cents;
        let line = moment.place.and_then(|(line, _)| self.lines.get(line));
        state.line = line.map(|(id, _)| id.clone());
        state.note = line
            .zip(moment.place)
            .and_then(|((_, notes), (_, note))| notes.get(note).cloned());
    }
}
