//! What the page is shown while the sound comes in: level and pitch now, notes and slurs gone by.

use std::time::Duration;

use studio::sound::journal::Format;
use tokio::sync::mpsc;
use tokio::time::Instant;

use super::level::Level;
use super::listener::{Listener, Passed, SlurToHear};
use super::message::{State, ToPage};
use crate::server::state::App;

/// How often the level is sent where there is no ear for more; else each moment that it completes.
const LEVEL_EACH: Duration = Duration::from_millis(20);
/// Slurs of one stream that wait to be told; further ones are left to the take.
const SLURS_AT_ONCE: usize = 4;

/// Follows one stream.
pub(super) struct Picture {
    state: State,
    level: Level,
    level_due: Instant,
    /// The ear behind the recording; none while others take up all the computing there is.
    listener: Option<Box<Listener>>,
    /// Slurs that are being listened to come back here, as messages.
    slurs: (mpsc::Sender<String>, mpsc::Receiver<String>),
}

impl Picture {
    pub(super) fn new() -> Self {
        Self {
            state: State::default(),
            level: Level::default(),
            level_due: Instant::now(),
            listener: None,
            slurs: mpsc::channel(SLURS_AT_ONCE),
        }
    }

    /// From here on it listens with this ear, or none.
    pub(super) fn listen_with(&mut self, listener: Option<Box<Listener>>) {
        self.listener = listener;
    }

    /// The next slur that was listened to.
    pub(super) async fn slur(&mut self) -> Option<String> {
        self.slurs.1.recv().await
    }

    /// Takes a block that ends at `at_s`; what is to be told of it goes to `out`.
    pub(super) fn hear(
        &mut self,
        app: &App,
        (at_s, sent_ms): (f64, f64),
        (format, data): (Format, &[u8]),
        out: &mut Vec<String>,
    ) {
        let (sum, count) = format
            .samples(data)
            .fold((0.0, 0.0_f64), |(sum, count), sample| {
                (sum + f64::from(sample).powi(2), count + 1.0)
            });
        let seconds = (at_s - self.state.at_s).max(0.0);
        self.state.at_s = at_s;
        self.state.sent_ms = if sent_ms.is_finite() { sent_ms } else { 0.0 };
        self.state.level_db = self.level.take(sum / count.max(1.0), seconds);
        let mut slurs = Vec::new();
        let new = match &mut self.listener {
            Some(listener) => listener.hear(format, data, &mut self.state, |passed| match passed {
                Passed::Note(note) => out.push(ToPage::Note(&note).text()),
                Passed::Slur(slur) => slurs.push(slur),
            }),
            None => Instant::now() >= self.level_due,
        };
        for slur in slurs {
            self.listen_to(app.clone(), slur);
        }
        if new {
            self.level_due = Instant::now() + LEVEL_EACH;
            out.push(ToPage::State(&self.state).text());
        }
    }

    /// Hears a slur beside the stream, when a core is free for it: the picture never waits.
    fn listen_to(&self, app: App, slur: SlurToHear) {
        let tell = self.slurs.0.clone();
        tokio::spawn(async move {
            let heard = app.heavy(move || slur.hear()).await;
            if let Ok(Some(slur)) = heard {
                // A line that is closed or has enough to tell does without.
                tell.try_send(ToPage::Slur(&slur).text()).ok();
            }
        });
    }
}
