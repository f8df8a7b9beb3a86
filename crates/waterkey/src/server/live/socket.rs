//! One connection of the line: a recording from `start` or `resume` to `stop`.

use std::time::Duration;

use axum::body::Bytes;
use axum::extract::State as Shared;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use futures_util::{FutureExt, SinkExt, StreamExt};
use studio::{Accepted, Gap, Recording};
use tokio::time::{Instant, timeout};

use super::frame::{self, MOST_BYTES};
use super::message::{FromPage, Start, ToPage, error};
use super::opening;
use super::picture::Picture;
use super::safe::Safe;
use crate::server::problem::{Answer, Code, Problem};
use crate::server::routes;
use crate::server::state::App;

/// How often the page is told what has come, and the disk is made safe.
const TELL_EACH: Duration = Duration::from_millis(250);
/// A page that takes no message for this long is gone.
const SEND_WITHIN: Duration = Duration::from_secs(10);
/// A page that sends nothing for this long is gone.
const QUIET_AT_MOST: Duration = Duration::from_secs(60);
/// Messages that are taken in together when they have come together: bounds how long the page
/// waits for an answer.
const MOST_AT_ONCE: usize = 64;
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

/// A block that is gathered and not yet heard.
struct Gathered {
    at_s: f64,
    sent_ms: f64,
    gap: Option<Gap>,
    /// The frame; the samples begin at `from`.
    bytes: Bytes,
    from: usize,
}

struct Line {
    app: App,
    recording: Option<Recording>,
    /// What to send next.
    out: Vec<String>,
    /// Blocks that came together: written in one, then heard.
    gathered: Vec<Gathered>,
    safe: Safe,
    picture: Picture,
    asked_again: Option<u32>,
    faults: u32,
    /// A take that was kept and is to be heard.
    hearing: Option<String>,
}

impl Line {
    fn new(app: App) -> Self {
        Self {
            app,
            recording: None,
            out: Vec::new(),
            gathered: Vec::new(),
            safe: Safe::default(),
            picture: Picture::new(),
            asked_again: None,
            faults: 0,
            hearing: None,
        }
    }

    async fn run(mut self, socket: WebSocket) {
        let (mut to_page, mut from_page) = socket.split();
        let mut tell = tokio::time::interval(TELL_EACH);
        tell.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        let mut last_heard_from = Instant::now();
        loop {
            let then = tokio::select! {
                first = from_page.next() => {
                    last_heard_from = Instant::now();
                    // What has come meanwhile is taken in with it: the busier, the fewer writes.
                    let mut next = Some(first);
                    let mut then = Then::GoOn;
                    let mut count = 0;
                    while let Some(message) = next {
                        then = match message {
                            Some(Ok(message)) => self.take_in(message).await,
                            // Lost, broken off or malformed: the journal stays and can be resumed.
                            Some(Err(_)) | None => Then::Close,
                        };
                        count += 1;
                        let full = then == Then::Close || count == MOST_AT_ONCE;
                        next = if full { None } else { from_page.next().now_or_never() };
                    }
                    let settled = self.settle();
                    if then == Then::Close { then } else { settled }
                }
                Some(slur) = self.picture.slur() => {
                    self.out.push(slur);
                    Then::GoOn
                }
                _ = tell.tick() => {
                    self.tell().await;
                    if last_heard_from.elapsed() > QUIET_AT_MOST { Then::Close } else { Then::GoOn }
                }
            };
            if !self.out.is_empty() {
                let all = std::mem::take(&mut self.out).into_iter();
                let all = all.map(|text| Ok(Message::Text(text.into())));
                let mut all = futures_util::stream::iter(all);
                let sent = timeout(SEND_WITHIN, to_page.send_all(&mut all)).await;
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
            Message::Binary(bytes) => self.block(bytes),
            Message::Text(text) => match serde_json::from_str(&text) {
                Ok(message) => {
                    if self.settle() == Then::Close {
                        return Then::Close;
                    }
                    return self.obey(message).await;
                }
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
        let recording = opening::begin(&self.app, start).await?;
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
        let ear = opening::listener(&self.app, &recording).await;
        self.picture.listen_with(ear);
        let head = recording.head();
        let ready = ToPage::Ready {
            take: &head.take,
            next_seq: recording.next_seq(),
            next_sample: recording.next_sample(),
            part: head.about.part.as_ref(),
        };
        self.out.push(ready.text());
        self.recording = Some(recording);
        self.safe = Safe::default();
    }

    fn going_on(&mut self) -> Answer<&mut Recording> {
        self.recording.as_mut().ok_or_else(|| {
            Problem::new(
                Code::BadRequest,
                "no recording is going on; start one first",
            )
        })
    }

    fn block(&mut self, bytes: Bytes) -> Answer<()> {
        let recording = self.going_on()?;
        let format = recording.head().format;
        let frame = frame::read(&bytes, format).map_err(Problem::unprocessable)?;
        match recording.gather(frame.seq, frame.first_sample, frame.data)? {
            Accepted::Taken { gap } => {
                let gathered = Gathered {
                    at_s: recording.seconds(),
                    sent_ms: frame.sent_ms,
                    gap,
                    from: bytes.len() - frame.data.len(),
                    bytes,
                };
                self.asked_again = None;
                self.gathered.push(gathered);
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

    /// Writes what was gathered, then hears it: nothing is shown that is not on the disk.
    fn settle(&mut self) -> Then {
        let Some(recording) = &mut self.recording else {
            return Then::GoOn;
        };
        let gathered = std::mem::take(&mut self.gathered);
        if let Err(error) = recording.write() {
            // The recording is as it was: the next block is early, and these are asked for again.
            self.asked_again = None;
            return self.refuse(&error.into());
        }
        let format = recording.head().format;
        for block in gathered {
            if let Some(gap) = &block.gap {
                self.out.push(ToPage::Gap { gap }.text());
            }
            let data = block.bytes.get(block.from..).unwrap_or_default();
            let time = (block.at_s, block.sent_ms);
            self.picture
                .hear(&self.app, time, (format, data), &mut self.out);
        }
        Then::GoOn
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
        if let Err(problem) = self.safe.look().await {
            self.out.push(error(&problem, false));
        }
        let Some(recording) = &self.recording else {
            return;
        };
        self.safe.begin(recording);
        let ack = ToPage::Ack {
            next_seq: recording.next_seq(),
            durable_seq: self.safe.seq(),
        };
        self.out.push(ack.text());
    }

    async fn stop(&mut self) -> Answer<()> {
        self.going_on()?;
        self.picture.listen_with(None);
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
        self.picture.listen_with(None);
        if let Some(recording) = self.recording.take() {
            self.app.store.discard_recording(recording).await?;
        }
        self.out.push(ToPage::Discarded.text());
        Ok(())
    }
}

/// Hears a take that was kept, and what to tell of it. The take is kept whatever comes of it.
async fn hear(app: &App, take: &str) -> String {
    match routes::hear_take(app, take).await {
        Ok(()) => ToPage::Heard { take }.text(),
        Err(problem) => error(&problem, false),
    }
}
