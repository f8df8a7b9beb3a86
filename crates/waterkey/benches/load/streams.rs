//! Live streams, as the page sends them: one heard against its part.

use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

use crate::served::{Line, Server};
use crate::{EXERCISE, INSTRUMENT, player, sound, spread};

/// Samples in a block, as the page's audio worklet makes them.
pub(crate) const BLOCK: usize = 256;

/// A sound to stream over and over.
pub(crate) struct Sound {
    pub(crate) rate: u32,
    samples: Vec<f32>,
}

impl Sound {
    /// The exercise as the program sounds it.
    pub(crate) fn of(server: &Server, player: &str) -> Self {
        let wave = sound(server, player);
        let mut reader = hound::WavReader::new(wave.as_slice()).unwrap();
        let spec = reader.spec();
        let full = f32::from(i16::MAX);
        let samples = match spec.sample_format {
            hound::SampleFormat::Float => reader.samples::<f32>().map(Result::unwrap).collect(),
            hound::SampleFormat::Int => reader
                .samples::<i16>()
                .map(|sample| f32::from(sample.unwrap()) / full)
                .collect(),
        };
        Self {
            rate: spec.sample_rate,
            samples,
        }
    }

    /// How many blocks there are in some seconds.
    pub(crate) fn blocks(&self, seconds: f64) -> u32 {
        (seconds * f64::from(self.rate) / BLOCK as f64) as u32
    }

    /// When a block is due, from the start.
    pub(crate) fn due(&self, block: f64) -> Duration {
        Duration::from_secs_f64(block * BLOCK as f64 / f64::from(self.rate))
    }

    /// A block as a frame of the line.
    pub(crate) fn frame(&self, seq: u32, now_ms: f64) -> Message {
        let mut bytes = vec![1, 0, 0, 0];
        bytes.extend(seq.to_le_bytes());
        bytes.extend((u64::from(seq) * BLOCK as u64).to_le_bytes());
        bytes.extend(now_ms.to_le_bytes());
        let from = seq as usize * BLOCK % (self.samples.len() - BLOCK);
        let block = &self.samples[from..from + BLOCK];
        bytes.extend(block.iter().flat_map(|x| x.to_le_bytes()));
        Message::binary(bytes)
    }
}

/// Begins a recording on a line.
pub(crate) fn begin(line: &mut Line, sound: &Sound, more: Value) {
    let mut start = json!({
        "type": "start", "sample_rate": sound.rate, "format": "f32", "instrument": INSTRUMENT,
    });
    let fields = start.as_object_mut().unwrap();
    fields.extend(more.as_object().unwrap().clone());
    line.say(&start);
    line.hear("ready");
}

/// What one stream saw.
#[derive(Default)]
pub(crate) struct Seen {
    pub(crate) gaps: usize,
    pub(crate) resends: usize,
    pub(crate) heard: bool,
    /// From the block sent to its state received.
    pub(crate) delays_ms: Vec<f64>,
    /// Blocks that the server had taken when it last said so.
    pub(crate) taken: u32,
}

impl Seen {
    /// Takes the next message in; false when none came in time.
    pub(crate) fn listen(
        &mut self,
        socket: &mut WebSocket<TcpStream>,
        now_ms: impl Fn() -> f64,
    ) -> bool {
        let Ok(Message::Text(text)) = socket.read() else {
            return false;
        };
        let now_ms = now_ms();
        let message: Value = serde_json::from_str(&text).unwrap();
        match message["type"].as_str() {
            Some("state") => {
                self.heard |= message["heard_s"].is_number();
                self.delays_ms
                    .push(now_ms - message["sent_ms"].as_f64().unwrap());
            }
            Some("ack") => self.taken = message["next_seq"].as_u64().unwrap() as u32,
            Some("gap") => self.gaps += 1,
            Some("resend") => self.resends += 1,
            Some("error") => panic!("{message}"),
            _ => {}
        }
        true
    }
}

/// One stream that is heard against its part: what the server takes for a block.
pub(crate) fn one(data: &Path, seconds: f64) {
    let server = Server::start(data);
    let player = player(&server, "Ada");
    let sound = Sound::of(&server, &player);
    let mut line = server.line();
    begin(
        &mut line,
        &sound,
        json!({"exercise": EXERCISE, "player": player}),
    );
    let mut seen = Seen::default();
    let start = Instant::now();
    let now_ms = || start.elapsed().as_secs_f64() * 1e3;
    let blocks = sound.blocks(seconds);
    for seq in 0..blocks {
        let due = sound.due(f64::from(seq));
        while let Some(wait) = due.checked_sub(start.elapsed()).filter(|w| !w.is_zero()) {
            let wait = wait.max(Duration::from_micros(100));
            line.0.get_mut().set_read_timeout(Some(wait)).unwrap();
            seen.listen(&mut line.0, now_ms);
        }
        line.0.send(sound.frame(seq, now_ms())).unwrap();
    }
    line.0.get_mut().set_read_timeout(None).unwrap();
    line.say(&json!({"type": "stop"}));
    line.hear("saved");
    println!(
        "one stream of {} Hz f32 in blocks of {BLOCK} for {seconds} s, heard against its part: \
         {blocks} blocks sent, {} gaps",
        sound.rate, seen.gaps
    );
    println!(
        "block sent to state received, ms: {}",
        spread(&mut seen.delays_ms)
    );
}
