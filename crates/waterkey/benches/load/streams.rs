//! Live streams, as the page sends them: one heard against its part, and many at once.

use std::net::TcpStream;
use std::path::Path;
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::Message;

use crate::served::{Line, Server};
use crate::{EXERCISE, INSTRUMENT, player, sound, spread};

const STREAMS: usize = 200;
/// Samples in a block, as the page's audio worklet makes them.
const BLOCK: usize = 256;

/// A sound to stream over and over.
struct Sound {
    rate: u32,
    samples: Vec<f32>,
}

impl Sound {
    fn of(server: &Server, player: &str) -> Self {
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
}

/// What one stream saw.
struct Seen {
    sent: u32,
    kept_s: f64,
    gaps: usize,
    resends: usize,
    heard: bool,
    delays_ms: Vec<f64>,
}

/// One stream that is heard against its part: what the server takes for a block.
pub(crate) fn one(data: &Path, seconds: f64) {
    let server = Server::start(data);
    let player = player(&server, "Ada");
    let sound = Sound::of(&server, &player);
    let start = json!({"exercise": EXERCISE, "player": player});
    let mut seen = stream(server.line(), &sound, seconds, start);
    println!(
        "one stream of {} Hz f32 in blocks of {BLOCK} for {seconds} s, heard against its part: {} \
         blocks sent, {} gaps",
        sound.rate, seen.sent, seen.gaps
    );
    println!(
        "block sent to state received, ms: {}",
        spread(&mut seen.delays_ms)
    );
}

/// Many streams at once.
pub(crate) fn many(data: &Path, seconds: f64) {
    let server = Server::start(data);
    let player = player(&server, "Ada");
    let sound = Arc::new(Sound::of(&server, &player));
    let (tell, told) = mpsc::channel();
    for _ in 0..STREAMS {
        let (line, sound, tell) = (server.line(), Arc::clone(&sound), tell.clone());
        thread::spawn(move || tell.send(stream(line, &sound, seconds, json!({}))).unwrap());
    }
    drop(tell);
    let seen: Vec<Seen> = told.iter().collect();
    let sent: u32 = seen.iter().map(|s| s.sent).sum();
    let rate = f64::from(sound.rate);
    let kept: f64 = seen.iter().map(|s| s.kept_s * rate / BLOCK as f64).sum();
    println!(
        "{STREAMS} streams of {rate} Hz f32 in blocks of {BLOCK} for {seconds} s: {sent} blocks \
         sent, {kept:.0} kept, {} gaps, {} resends, {} of the streams heard live",
        seen.iter().map(|s| s.gaps).sum::<usize>(),
        seen.iter().map(|s| s.resends).sum::<usize>(),
        seen.iter().filter(|s| s.heard).count(),
    );
    let mut delays: Vec<f64> = seen.iter().flat_map(|s| s.delays_ms.clone()).collect();
    println!("block sent to state received, ms: {}", spread(&mut delays));
}

fn stream(mut line: Line, sound: &Sound, seconds: f64, more: Value) -> Seen {
    let mut start = json!({
        "type": "start", "sample_rate": sound.rate, "format": "f32", "instrument": INSTRUMENT,
    });
    let fields = start.as_object_mut().unwrap();
    fields.extend(more.as_object().unwrap().clone());
    line.say(&start);
    line.hear("ready");
    let start = Instant::now();
    let rate = f64::from(sound.rate);
    let blocks = (seconds * rate / BLOCK as f64) as u32;
    let mut seen = Seen {
        sent: 0,
        kept_s: 0.0,
        gaps: 0,
        resends: 0,
        heard: false,
        delays_ms: Vec::new(),
    };
    let now_ms = move || start.elapsed().as_secs_f64() * 1e3;
    let mut wave = sound.samples.iter().cycle();
    for seq in 0..blocks {
        let due = Duration::from_secs_f64(f64::from(seq) * BLOCK as f64 / rate);
        while let Some(wait) = due
            .checked_sub(start.elapsed())
            .filter(|wait| !wait.is_zero())
        {
            let wait = wait.max(Duration::from_micros(100));
            line.0.get_mut().set_read_timeout(Some(wait)).unwrap();
            listen(&mut line.0, &mut seen, &now_ms);
        }
        let mut bytes = vec![1, 0, 0, 0];
        bytes.extend(seq.to_le_bytes());
        bytes.extend((u64::from(seq) * BLOCK as u64).to_le_bytes());
        bytes.extend(now_ms().to_le_bytes());
        bytes.extend(wave.by_ref().take(BLOCK).flat_map(|x| x.to_le_bytes()));
        line.0.send(Message::binary(bytes)).unwrap();
        seen.sent += 1;
    }
    line.0.get_mut().set_read_timeout(None).unwrap();
    line.say(&json!({"type": "stop"}));
    seen.kept_s = line.hear("saved")["take"]["seconds"].as_f64().unwrap();
    seen
}

fn listen(
    socket: &mut tungstenite::WebSocket<TcpStream>,
    seen: &mut Seen,
    now_ms: &impl Fn() -> f64,
) {
    let Ok(Message::Text(text)) = socket.read() else {
        return; // Nothing came in time.
    };
    let now_ms = now_ms();
    let message: Value = serde_json::from_str(&text).unwrap();
    match message["type"].as_str() {
        Some("state") => {
            seen.heard |= message["heard_s"].is_number();
            seen.delays_ms
                .push(now_ms - message["sent_ms"].as_f64().unwrap());
        }
        Some("gap") => seen.gaps += 1,
        Some("resend") => seen.resends += 1,
        _ => {}
    }
}
