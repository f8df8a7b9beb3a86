//! One connection of the line: a recording from `start` or `resume` to `stop`.

use std::time::Duration;

use axum::extract::State as Shared;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use futures_util::{SinkExt, StreamExt};
use routine::Part;
use studio::sound::journal::Format;
use studio::{Accepted, NewTake, Recording};
use tokio::sync::mpsc;
use tokio::task::JoinHandle;
use tokio::time::{Instant, timeout};
use tone::{Hertz, Tuning};

use super::frame::{self, MOST_BYTES};
use super::level::Level;
use super::listener::{Listener, Passed, SlurToHear};
use super::message::{FromPage, Start, State, ToPage, error};
use crate::server::hearing;
use crate::server::problem::{Answer, Code, Problem};
use crate::server::routes::{self, Asked};
use crate::server::state::App;

/// How often the page is told what has come, and the disk is made safe.
const TELL_EACH: Duration = Duration::from_millis(250);
/// How often the level is sent where there is no ear for more; else each moment that it completes.
const LEVEL_EACH: Duration = Duration::from_millis(20);
/// A page that takes no message for this long is gone.
const SEND_WITHIN: Duration = Duration::from_secs(10);
/// A page that sends nothing for this long is gone.
const QUIET_AT_MOST: Duration = Duration::from_secs(60);
/// Slurs of one stream that wait to be told; further ones are left to the take.
const SLURS_AT_ONCE: usize = 4;
/// Malformed frames and messages that are borne before the line closes.
const MOST_FAULTS: u32 = 20;

/// Opens the line.
pub(super) async fn open(
    Shared(app): Shared<App>,
    upgrade: Result<WebSocketUpgrade, axum::extract::ws::rejection::WebSocketUpgradeRejection>,
) -> Answer<Response> {
    let upgrade = upgrade.map_err(|error| {
        Problem::new(Code::BadRequest, format!("{error}; open a WebSocket here"))
    })?;
    Ok(upgrade
        .max_message_size(MOST_BYTES)
        .max_frame_size(MOST_BYTES)
        .on_upgrade(move |socket| Line::new(app).run(socket)))
}

/// What becomes of the line after a message.
#[derive(PartialEq, Eq)]
enum Then {
    GoOn,
    Close,
}

struct Line {
    app: App,
    recording: Option<Recording>,
    /// What to send next.
    out: Vec<String>,
    /// Numbers below this are safe on the disk.
    durable_seq: u32,
    /// A sync that is under way, and what will be safe after it.
    syncing: Option<(JoinHandle<std::io::Result<()>>, u32)>,
    state: State,
    level: Level,
    level_due: Instant,
    asked_again: Option<u32>,
    faults: u32,
    /// A take that was kept and is to be heard.
    hearing: Option<String>,
    /// The ear behind the recording; none while others take up all the computing there is.
    listener: Option<Box<Listener>>,
    /// Slurs that are being listened to come back here, as messages.
    slurs: (mpsc::Sender<String>, mpsc::Receiver<String>),
}

impl Line {
    fn new(app: App) -> Self {
        Self {
            app,
            recording: None,
            out: Vec::new(),
            durable_seq: 0,
            syncing: None,
            state: State::default(),
            level: Level::default(),
            level_due: Instant::now(),
            asked_again: None,
            faults: 0,
            hearing: None,
            listener: None,
            slurs: mpsc::channel(SLURS_AT_ONCE),
        }
    }

    async fn run(mut self, socket: WebSocket) {
        let (mut to_page, mut from_page) = socket.split();
        let mut tell = tokio::time::interval(TELL_EACH);
        tell.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        let mut last_heard_from = Instant::now();
        loop {
            let then = tokio::select! {
                message = from_page.next() => {
                    last_heard_from = Instant::now();
                    match message {
                        Some(Ok(message)) => self.take_in(message).await,
                        // Lost, broken off or malformed: the journal stays and can be resumed.
                        Some(Err(_)) | None => Then::Close,
                    }
                }
                Some(slur) = self.slurs.1.recv() => {
                    self.out.push(slur);
                    Then::GoOn
                }
                _ = tell.tick() => {
                    self.tell().await;
                    if last_heard_from.elapsed() > QUIET_AT_MOST { Then::Close } else { Then::GoOn }
                }
            };
            for text in std::mem::take(&mut self.out) {
                let sent = timeout(SEND_WITHIN, to_page.send(Message::Text(text.into()))).await;
                if !matches!(sent, Ok(Ok(()))) {
                    return self.leave();
                }
            }
            if then == Then::Close {
                if let Some(take) = self.hearing.take() {
                    let heard = hear(&self.app, &take).await;
                    let told = to_page.send(Message::Text(heard.into()));
                    timeout(SEND_WITHIN, told).await.ok();
                }
                timeout(SEND_WITHIN, to_page.close()).await.ok();
                return self.leave();
            }
        }
    }

    /// Lets the recording lie where it is: the page may resume it, or the next sweep keeps it.
    fn leave(self) {
        if let Some(recording) = &self.recording {
            self.app.store.leave_recording(recording);
        }
    }

    async fn take_in(&mut self, message: Message) -> Then {
        let done = match message {
            Message::Binary(bytes) => self.block(&bytes),
            Message::Text(text) => match serde_json::from_str(&text) {
                Ok(message) => return self.obey(message).await,
                Err(error) => Err(Problem::new(
                    Code::BadRequest,
                    format!("this message does not read: {error}"),
                )),
            },
            Message::Ping(_) | Message::Pong(_) => Ok(()),
            Message::Close(_) => return Then::Close,
        };
        match done {
            Ok(()) => Then::GoOn,
            Err(problem) => self.refuse(&problem),
        }
    }

    /// Tells what is wrong; the recording goes on, unless it goes wrong all the time.
    fn refuse(&mut self, problem: &Problem) -> Then {
        self.faults += 1;
        let fatal = self.faults > MOST_FAULTS;
        self.out.push(error(problem, fatal));
        if fatal { Then::Close } else { Then::GoOn }
    }

    async fn obey(&mut self, message: FromPage) -> Then {
        let done = match message {
            FromPage::Start(start) => self.start(start).await,
            FromPage::Resume { take } => self.resume(&take).await,
            FromPage::Skip { to_seq, to_sample } => self.skip(to_seq, to_sample),
            FromPage::Ping { t } => {
                self.out.push(ToPage::Pong { t }.text());
                Ok(())
            }
            FromPage::Stop => match self.stop().await {
                Ok(()) => return Then::Close,
                // The journal is whole: the page comes back for it and stops again.
                Err(problem) if matches!(problem.code(), Code::Busy | Code::DiskFull) => {
                    self.out.push(error(&problem, false));
                    return Then::Close;
                }
                Err(problem) => Err(problem),
            },
            FromPage::Discard => match self.discard().await {
                Ok(()) => return Then::Close,
                Err(problem) => Err(problem),
            },
        };
        match done {
            Ok(()) => Then::GoOn,
            Err(problem) => self.refuse(&problem),
        }
    }

    async fn start(&mut self, start: Start) -> Answer<()> {
        self.must_be_free()?;
        let format: Format = start.format.parse()?;
        let instrument = routes::find_instrument(&self.app, &start.instrument).await?;
        let asked = Asked {
            player: start.player.clone(),
            instrument: start.instrument,
            exercise: start.exercise.clone(),
            text: start.text,
            level: start.level,
            seed: start.seed,
        };
        let part = routes::part_to_play(&self.app, asked).await?;
        let title = start
            .title
            .or_else(|| part.as_ref().map(|part| part.title.clone()));
        let about = NewTake {
            player: start.player,
            exercise: start.exercise,
            title: title.unwrap_or_default(),
            instrument: instrument.id,
            started_ms: routes::now_ms(),
            part: part.map(|part| routes::json(&part)).transpose()?,
            origin: None,
        };
        let recording = self
            .app
            .store
            .begin_recording(about, start.sample_rate, format)
            .await?;
        self.welcome(recording).await;
        Ok(())
    }

    async fn resume(&mut self, take: &str) -> Answer<()> {
        self.must_be_free()?;
        let recording = self.app.store.resume_recording(take).await?;
        self.welcome(recording).await;
        Ok(())
    }

    fn must_be_free(&self) -> Answer<()> {
        if self.recording.is_some() {
            return Err(Problem::new(
                Code::Conflict,
                "a recording is going on here; stop or discard it first",
            ));
        }
        Ok(())
    }

    async fn welcome(&mut self, recording: Recording) {
        self.listener = listener(&self.app, &recording).await;
        let head = recording.head();
        let ready = ToPage::Ready {
            take: &head.take,
            next_seq: recording.next_seq(),
            next_sample: recording.next_sample(),
            part: head.about.part.as_ref(),
        };
        self.out.push(ready.text());
        self.recording = Some(recording);
        self.durable_seq = 0;
    }

    fn going_on(&mut self) -> Answer<&mut Recording> {
        self.recording.as_mut().ok_or_else(|| {
            Problem::new(
                Code::BadRequest,
                "no recording is going on; start one first",
            )
        })
    }

    fn block(&mut self, bytes: &[u8]) -> Answer<()> {
        let recording = self.going_on()?;
        let format = recording.head().format;
        let frame = frame::read(bytes, format).map_err(Problem::unprocessable)?;
        match recording.accept(frame.seq, frame.first_sample, frame.data)? {
            Accepted::Taken { gap } => {
                let at_s = recording.seconds();
                self.asked_again = None;
                if let Some(gap) = gap {
                    self.out.push(ToPage::Gap { gap: &gap }.text());
                }
                self.hear(at_s, frame.sent_ms, format, frame.data);
            }
            Accepted::Duplicate => {}
            Accepted::Early { expected } => {
                // Asked once for each hole: what comes meanwhile is early too.
                if self.asked_again.replace(expected) != Some(expected) {
                    self.out.push(ToPage::Resend { from_seq: expected }.text());
                }
            }
        }
        Ok(())
    }

    fn hear(&mut self, at_s: f64, sent_ms: f64, format: Format, data: &[u8]) {
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
                Passed::Note(note) => self.out.push(ToPage::Note(&note).text()),
                Passed::Slur(slur) => slurs.push(slur),
            }),
            None => Instant::now() >= self.level_due,
        };
        for slur in slurs {
            self.listen_to(slur);
        }
        if new {
            self.level_due = Instant::now() + LEVEL_EACH;
            self.out.push(ToPage::State(&self.state).text());
        }
    }

    /// Hears a slur beside the stream, when a core is free for it: the picture never waits.
    fn listen_to(&self, slur: SlurToHear) {
        let (app, tell) = (self.app.clone(), self.slurs.0.clone());
        tokio::spawn(async move {
            let heard = app.heavy(move || slur.hear()).await;
            if let Ok(Some(slur)) = heard {
                // A line that is closed or has enough to tell does without.
                tell.try_send(ToPage::Slur(&slur).text()).ok();
            }
        });
    }

    fn skip(&mut self, to_seq: u32, to_sample: u64) -> Answer<()> {
        let gap = self.going_on()?.skip(to_seq, to_sample)?;
        if let Some(gap) = gap {
            self.out.push(ToPage::Gap { gap: &gap }.text());
        }
        Ok(())
    }

    /// Each quarter of a second: makes what has come safe on the disk, and says so.
    async fn tell(&mut self) {
        let finished = self
            .syncing
            .as_ref()
            .is_some_and(|(sync, _)| sync.is_finished());
        if finished && let Some((sync, seq)) = self.syncing.take() {
            match sync.await {
                Ok(Ok(())) => self.durable_seq = seq,
                Ok(Err(error)) => {
                    crate::server::note_fault(&error);
                    let problem = Problem::new(Code::DiskFull, "the disk does not take the sound");
                    self.out.push(super::message::error(&problem, false));
                }
                Err(error) => crate::server::note_fault(&error),
            }
        }
        let Some(recording) = &self.recording else {
            return;
        };
        let next_seq = recording.next_seq();
        if self.syncing.is_none() && self.durable_seq < next_seq {
            let file = recording.handle();
            let sync = tokio::task::spawn_blocking(move || file.sync_data());
            self.syncing = Some((sync, next_seq));
        }
        let ack = ToPage::Ack {
            next_seq,
            durable_seq: self.durable_seq,
        };
        self.out.push(ack.text());
    }

    async fn stop(&mut self) -> Answer<()> {
        self.going_on()?;
        self.listener = None;
        let Some(recording) = self.recording.take() else {
            return Ok(());
        };
        let take = self.app.store.finish_recording(recording).await?;
        self.out.push(ToPage::Saved { take: &take }.text());
        self.hearing = Some(take.id);
        Ok(())
    }

    async fn discard(&mut self) -> Answer<()> {
        self.going_on()?;
        self.listener = None;
        if let Some(recording) = self.recording.take() {
            self.app.store.discard_recording(recording).await?;
        }
        self.out.push(ToPage::Discarded.text());
        Ok(())
    }
}

/// The ear for a recording, if there is a place for one more.
async fn listener(app: &App, recording: &Recording) -> Option<Box<Listener>> {
    let place = app.listeners.clone().try_acquire_owned().ok()?;
    let head = recording.head();
    let part: Option<Part> = head
        .about
        .part
        .clone()
        .and_then(|part| serde_json::from_value(part).ok());
    let instrument = routes::find_instrument(app, &head.about.instrument)
        .await
        .ok()?;
    let settings = app.store.settings().await.unwrap_or_default();
    let tuning = Tuning {
        a4: Hertz(settings.a4),
        ..Tuning::default()
    };
    let asked = part.as_ref().map(|part| {
        let chart = horn::ideal::chart(&instrument, &tuning);
        let expected = ear::expected::from_part(part, &instrument, &chart, &tuning);
        (part, expected)
    });
    let lowest_hz = match &asked {
        Some((_, expected)) => expected.lowest_hz(),
        None => instrument
            .standard_range()
            .map(|keys| tuning.equal(*keys.start()).0),
    };
    let calibration = hearing::calibration(&settings);
    let lowest_hz = lowest_hz.unwrap_or(0.0);
    let listener = Listener::new(head.sample_rate, lowest_hz, asked, calibration, place);
    Some(Box::new(listener))
}

/// Hears a take that was kept, and what to tell of it. The take is kept whatever comes of it.
async fn hear(app: &App, take: &str) -> String {
    match routes::hear_take(app, take).await {
        Ok(()) => ToPage::Heard { take }.text(),
        Err(problem) => error(&problem, false),
    }
}
